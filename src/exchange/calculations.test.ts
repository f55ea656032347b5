import { readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import { BadInput } from '../clinical/worked.ts'
import { EXCHANGE_CALCULATIONS } from './calculations.ts'
import vectors from './gs1/test-data/gs1-checks.json' with { type: 'json' }

function ask(name: string, input: unknown) {
  const found = EXCHANGE_CALCULATIONS.find((each) => each.name === name)
  if (!found) throw new Error(name)
  return found.run(found.input.parse(input))
}

describe('asked by name', () => {
  it('refuses a misspelt field', () => {
    for (const { input } of EXCHANGE_CALCULATIONS) expect(input.safeParse({ rwa: '' }).success).toBe(false)
  })
  it('has forty vectors', () => expect(vectors.checks).toHaveLength(40))
  it.each(vectors.checks.map((check) => [check.id, check] as const))(
    'element-string %s',
    (_, { input, expect: want }) => {
      expect(ask('element-string', input).result).toEqual(want)
    },
  )
  it('cautions where a separator seems lost, and splits nothing', () => {
    const { result, working } = ask('element-string', {
      raw: '010031234567890610L7A04217270300',
      today: '2026-03-10',
    })
    expect(result).toEqual({ '01': '00312345678906', '10': 'L7A04217270300' })
    expect(working.cautions).toHaveLength(1)
  })
  it('hibc', () => {
    expect(ask('hibc', { raw: '+A123BJC5D6E71G' }).result).toMatchObject({ ok: true, labeler: 'A123' })
  })
  it('hl7-message', () => {
    const text = readFileSync(
      new URL('./hl7/test-data/bad-03-unknown-frequency.hl7', import.meta.url),
      'utf8',
    )
    const input = { text, timeZone: 'America/Chicago', now: '2026-03-10T12:00:00.000Z' }
    expect(ask('hl7-message', input).result).toMatchObject({
      answer: { code: 'AE' },
      problems: [{ where: 'TQ1-3', code: '103' }],
    })
  })
  it('frequency, with a word where minutes may have been meant as hours', () => {
    expect(ask('frequency', { code: 'Q4H' })).toMatchObject({
      result: { everyMinutes: 240 },
      working: { cautions: [] },
    })
    expect(ask('frequency', { code: 'Q4M' }).working.cautions).toEqual(['Q4M is every 4 minutes, not hours.'])
    expect(() => ask('frequency', { code: 'Q4X' })).toThrow(BadInput)
  })
})
