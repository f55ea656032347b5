import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { afterAll, describe, expect, it } from 'vitest'
import { pricePlainly } from '../../../test/planning/evaluator.ts'
import { readJson, readTable } from '../../../test/planning/read.ts'
import { runCommand } from '../../../test/support/terminal.ts'
import { replay } from './replay.ts'
import { round } from './round.ts'

const folder = mkdtempSync(join(tmpdir(), 'mistwright-round-'))
afterAll(() => rmSync(folder, { recursive: true, force: true }))
const published = (path: string) =>
  fileURLToPath(new URL(`../../../test/planning/test-data/${path}`, import.meta.url))
const written = (name: string, text: string): string => {
  writeFileSync(join(folder, name), text)
  return join(folder, name)
}
const shift = readJson('exact/exact-04.json') as Record<string, unknown>
const changed = (name: string, change: Record<string, unknown>) =>
  written(name, JSON.stringify({ ...shift, ...change }))

describe('mistwright round', () => {
  it('proves the published optimum and prints routes that the plain evaluator prices the same', async () => {
    const { exit, said } = await runCommand(round, [published('exact/exact-04.json'), '--json'])
    const answer = JSON.parse(said)
    expect(exit).toBe(0)
    expect(answer).toMatchObject({
      total: 134,
      bound: 134,
      proved: true,
      atMostPercentFromBest: 0,
      assumed: [],
    })
    const plain = pricePlainly(shift, answer.routes)
    expect(plain).toMatchObject({ broken: [], total: 134, parts: answer.parts })
  })

  it('says by the clock who goes where, what is not given, and that nothing is better', async () => {
    const { said } = await runCommand(round, [published('exact/exact-04.json')])
    expect(said).toMatch(/^T1 \(\d+ min\): \d\d:\d\d \w+, /)
    expect(said).toContain('Every visit is given.')
    expect(said).toContain('Objective 134: ')
    expect(said).toMatch(/Proved best possible\.$/)
  })

  it('never claims to be nearer to the best possible than its bound allows', async () => {
    const file = published('shifts/shift-02-k2-n36.json')
    const { said } = await runCommand(round, [file, '--seconds', '0.3', '--bound', '--json'])
    const { total, bound, proved, atMostPercentFromBest, routes } = JSON.parse(said)
    expect(total).toBe(pricePlainly(readJson('shifts/shift-02-k2-n36.json'), routes).total)
    const best = Number(readTable('shifts/reference-values.csv')[1]?.kept_plan_objective)
    expect(bound).toBeLessThanOrEqual(best)
    expect(proved).toBe(bound === total)
    expect(total * (1 - atMostPercentFromBest / 100)).toBeLessThanOrEqual(bound)
  })

  it.each([
    ['dimacs', 'dimacs_distance'],
    ['sintef', 'min_vehicles_first_distance'],
  ])('plans a Solomon file: %s', async (convention, column) => {
    const { exit, said } = await runCommand(round, [
      published('solomon/C101.txt'),
      '--seconds',
      '1',
      '--convention',
      convention,
      '--json',
    ])
    const best = readTable('solomon/best-known.csv').find((row) => row.instance === 'C101')
    expect(exit).toBe(0)
    expect(JSON.parse(said).distance).toBeCloseTo(Number(best?.[column]), 1)
    expect(JSON.parse(said).vehicles).toBe(10)
  })

  it.each([
    ['a skill that is missing', { visits: [{ ...(shift.visits as object[])[0], skill: 'dive' }] }],
    [
      'a break outside the shift',
      {
        therapists: (shift.therapists as { break: object }[]).map((t) => ({
          ...t,
          break: { ...t.break, earliest: 9000, latest: 9999 },
        })),
      },
    ],
  ])('plans and says what it assumed: %s', async (_, change) => {
    const { exit, said } = await runCommand(round, [changed('assumed.json', change), '--seconds', '0'])
    expect(exit).toBe(0)
    expect(said).toMatch(/^Assumed: /)
  })

  it.each<[string, string, RegExp]>([
    ['not JSON', written('a.json', '{ half'), /It is not JSON: /],
    ['another format', changed('b.json', { format: 'other' }), /format: /],
    ['an unknown patient', changed('c.json', { patients: [] }), /patient "P\d+" is not in the file/],
    ['negative minutes', changed('d.json', { roomChange: -1 }), /roomChange: -1 is below zero/],
    [
      'a broken Solomon file',
      written('e.txt', 'C101\n\n 25 200\n1 2 3\n'),
      /It is not a Solomon file: line 4/,
    ],
  ])('refuses in plain sentences, with exit code 1: %s', async (_, file, sentence) => {
    const { exit, said } = await runCommand(round, [file])
    expect(exit).toBe(1)
    expect(said).toMatch(/^The file cannot be planned; nothing was planned\./)
    expect(said).toMatch(sentence)
  })

  it.each<[string[], RegExp]>([
    [[], /one FILE is needed/],
    [[published('exact/exact-04.json'), '--seconds', 'many'], /--seconds must be a number from 0/],
    [[published('exact/exact-04.json'), '--seed', '1.5'], /--seed must be a whole number/],
    [[published('exact/exact-04.json'), '--convention', 'sintef'], /--convention is for Solomon files/],
    [[published('solomon/C101.txt'), '--convention', 'other'], /--convention is dimacs or sintef/],
    [[published('solomon/C101.txt'), '--bound'], /--bound is for shifts/],
  ])('says what is wrong with its own words: %s', async (words, message) => {
    await expect(runCommand(round, words)).rejects.toThrow(message)
  })

  it('plans a shift without visits', async () => {
    const { said } = await runCommand(round, [changed('none.json', { visits: [] }), '--json'])
    expect(JSON.parse(said)).toMatchObject({ total: 0, proved: true })
  })
})

describe('mistwright replay', () => {
  it('prints realized cost over that of a plan that knew everything, changes and times', async () => {
    const file = published('shifts/shift-01-k1-n12.json')
    const { exit, said } = await runCommand(replay, [file, '--seconds', '0.2', '--changes'])
    expect(exit).toBe(0)
    expect(said.split('\n')[0]).toMatch(
      /^07:17 {2}cancel-visit {2}repaired in [\d.]+ ms, \d+ promises changed/,
    )
    expect(said).toContain(
      'V9 is called off: its order ended or is on hold, or it was charted or can no longer be planned.',
    )
    expect(said).toMatch(/The day cost \d+; a plan that knew everything, \d+ \(\d\.\d{3} times\)\./)
    expect(said).toMatch(/promises changed per event\. Repairs took [\d.]+ ms \(median\), /)
  })

  it('gives the same as data', async () => {
    const file = published('shifts/shift-01-k1-n12.json')
    const { said } = await runCommand(replay, [file, '--seconds', '0.2', '--json'])
    const report = JSON.parse(said)
    expect(report.ratio).toBeCloseTo(report.realized / report.clairvoyant, 9)
    expect(report.ratio).toBeGreaterThanOrEqual(1)
    expect(report.events).toHaveLength(5)
    expect(report.events[0].changes[0]).toMatchObject({
      visit: 'V9',
      kind: 'cancelled',
      concerns: { therapists: ['T1'] },
    })
  })

  it('refuses a file that names somebody unknown in its events', async () => {
    const events = [{ time: 3, type: 'therapist-leaves', therapist: 'T99' }]
    const { exit, said } = await runCommand(replay, [changed('f.json', { events })])
    expect(exit).toBe(1)
    expect(said).toContain('therapist "T99" is not in the file')
  })
})
