import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import type { AnyFact } from '../registry.ts'
import { DOCUMENTS } from './documents.ts'
import { documentsInForce } from './documents-in-force.ts'

const at = (hour: number) => `2026-03-10T${String(hour).padStart(2, '0')}:00:00.000Z`

function adoption(
  number: number,
  happenedAt: string,
  lockAfterMinutes: unknown,
  recordedAt = happenedAt,
): AnyFact {
  return {
    id: `0195a0b0-0000-7000-8000-00000000000${number}`,
    facility: 'f',
    kind: 'document-adopted',
    version: 1,
    about: { document: 'site' },
    happenedAt,
    recordedAt,
    by: { personId: 'p', role: 'lead' },
    device: 'd',
    body: {
      edition: `edition ${number}`,
      content: { ...DOCUMENTS.site.defaults, lockAfterMinutes },
      approvedBy: 'Medical director',
      note: '',
    },
  }
}
const lockAt = (facts: AnyFact[], instant: string) =>
  documentsInForce(facts, instant).documents.site.content.lockAfterMinutes

describe('documentsInForce', () => {
  it('gives what the program brings along until something is adopted', () => {
    const { documents, unused } = documentsInForce([], at(8))
    expect(documents.windows).toEqual({ content: DOCUMENTS.windows.defaults, adopted: null })
    expect(unused).toEqual([])
  })
  it('says for any instant which edition was in force, whatever the order of the facts', () => {
    const facts = [adoption(1, at(8), 10), adoption(2, at(12), 20), adoption(3, at(16), 30)]
    fc.assert(
      fc.property(fc.shuffledSubarray([...facts, ...facts], { minLength: 6 }), (shuffled) => {
        expect([7, 8, 11, 12, 15, 16, 23].map((hour) => lockAt(shuffled, at(hour)))).toEqual([
          DOCUMENTS.site.defaults.lockAfterMinutes,
          10,
          10,
          20,
          20,
          30,
          30,
        ])
      }),
      { seed: 20261125 },
    )
  })
  it('names the adoption that is in force', () => {
    const { adopted } = documentsInForce([adoption(1, at(8), 10)], at(9)).documents.site
    expect(adopted).toEqual({
      factId: '0195a0b0-0000-7000-8000-000000000001',
      edition: 'edition 1',
      approvedBy: 'Medical director',
      from: at(8),
    })
  })
  it('does not let a back-dated adoption change what held before it was written down', () => {
    const facts = [adoption(1, at(8), 10), adoption(2, at(9), 20, at(14))]
    expect([9, 13, 14].map((hour) => lockAt(facts, at(hour)))).toEqual([10, 10, 20])
  })
  it('waits with an adoption that is to take effect later', () => {
    const facts = [adoption(1, at(20), 10, at(8))]
    expect([9, 20].map((hour) => lockAt(facts, at(hour)))).toEqual([
      DOCUMENTS.site.defaults.lockAfterMinutes,
      10,
    ])
  })
  it('keeps to the edition before when one cannot be read, and says so', () => {
    const unknown = { ...adoption(3, at(10), 10), about: { document: 'weather' } }
    const { documents, unused } = documentsInForce(
      [adoption(1, at(8), 10), adoption(2, at(9), 'soon'), unknown],
      at(12),
    )
    expect(documents.site.content.lockAfterMinutes).toBe(10)
    expect(unused.map(({ document, problems }) => [document, problems[0]?.where])).toEqual([
      ['site', 'lockAfterMinutes'],
      ['weather', 'document'],
    ])
  })
})
