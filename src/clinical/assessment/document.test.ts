import { expect, it } from 'vitest'
import { z } from 'zod'
import { Heading, refuseUnknownSources, SourceEntries, SourceEntry, sourcesOf } from './document.ts'

const paper = { cite: 'A paper. 2020', place: 'Table 1', standing: 'verified' } as const
const habit = { cite: 'A habit', standing: 'common practice, no source' } as const

it('takes a source with each standing, with or without a place, and nothing else', () => {
  for (const standing of [
    'verified',
    'verified-secondary',
    'computed',
    'from memory',
    'common practice, no source',
    'design rule',
  ]) {
    expect(SourceEntry.parse({ cite: 'A paper', standing })).toEqual({ cite: 'A paper', standing })
  }
  expect(SourceEntry.parse(paper)).toEqual(paper)
  for (const odd of [
    {},
    { ...paper, cite: '' },
    { ...paper, place: '' },
    { ...paper, standing: 'sure' },
    { ...paper, x: 1 },
  ]) {
    expect(SourceEntry.safeParse(odd).success).toBe(false)
  }
  expect(SourceEntries.safeParse({ '': paper }).success).toBe(false)
  expect(SourceEntries.parse({ PAPER: paper })).toEqual({ PAPER: paper })
})
it('wants a version, a title and a standing of every document', () => {
  const heading = z.strictObject(Heading)
  const sound = { version: 1, title: 'Rules', standing: 'an example' }
  expect(heading.parse(sound)).toEqual(sound)
  for (const odd of [{ version: 0 }, { version: 1.5 }, { title: '' }, { standing: '' }]) {
    expect(heading.safeParse({ ...sound, ...odd }).success).toBe(false)
  }
})
it('gives sources by key in the order asked for, without an empty place', () => {
  const entries = { PAPER: paper, HABIT: habit }
  expect(sourcesOf(entries, ['HABIT', 'NONE', 'PAPER'])).toEqual([
    { key: 'HABIT', ...habit },
    { key: 'PAPER', ...paper },
  ])
  expect(Object.keys(sourcesOf(entries, ['HABIT'])[0] ?? {})).not.toContain('place')
})
it('refuses a key that is not written down, once', () => {
  const said: string[] = []
  refuseUnknownSources({ PAPER: paper }, ['PAPER', 'X', 'X', 'Y'], (message) => said.push(message))
  expect(said).toEqual(['source X is not written down', 'source Y is not written down'])
})
