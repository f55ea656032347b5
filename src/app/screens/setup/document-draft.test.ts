import { describe, expect, it } from 'vitest'
import { DOCUMENTS } from '../../../chart/documents/documents.ts'
import { SITE } from '../../../chart/documents/site.ts'
import { asText, problemAt, readDraft } from './document-draft.ts'

describe('a draft', () => {
  it('as text reads back as the document it was', () => {
    for (const [name, { defaults }] of Object.entries(DOCUMENTS)) {
      const read = readDraft(name as keyof typeof DOCUMENTS, { kind: 'text', text: asText(defaults) })
      expect(read).toEqual({ ok: true, content: defaults })
    }
  })

  it('that is no JSON says so and is not adopted', () => {
    const read = readDraft('site', { kind: 'text', text: '{ "facilityName": ' })
    expect(read).toMatchObject({ ok: false, problems: [{ where: 'text' }] })
  })

  it('tells every field that is wrong, by its place', () => {
    const content = { ...SITE.defaults, timeZone: 'Nowhere/Land', lockAfterMinutes: 0 }
    const read = readDraft('site', { kind: 'form', content })
    if (read.ok) throw new Error('read')
    expect(read.problems.map(({ where }) => where)).toEqual(['timeZone', 'lockAfterMinutes'])
    expect(problemAt(read.problems, 'timeZone')).toMatch(/IANA time zone/)
    expect(problemAt(read.problems, 'facilityName')).toBeUndefined()
  })
})

describe('the problems of a field', () => {
  const problems = [
    { where: 'shifts.dayFrom', what: 'a time of day' },
    { where: 'shiftsOther', what: 'something else' },
  ]
  it('are those at its place and below, not those of a longer name', () => {
    expect(problemAt(problems, 'shifts')).toBe('a time of day')
  })
})
