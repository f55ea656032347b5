import { createHash } from 'node:crypto'
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { canonicalJson } from './canonical.ts'
import { chainChecker, entryHash, GENESIS_HASH, type LedgerEntry, nextEntry } from './chain.ts'

const RECEIVED = '2026-03-10T07:00:00.000Z'

function chainOf(count: number): LedgerEntry[] {
  const entries: LedgerEntry[] = []
  for (let i = 1; i <= count; i += 1) {
    const text = canonicalJson({ id: `fact-${i}`, body: i })
    const said = {
      facility: 'larkmere',
      factId: `fact-${i}`,
      receivedAt: RECEIVED,
      deviceAheadMs: null,
      text,
    }
    entries.push(nextEntry(entries.at(-1) ?? null, said))
  }
  return entries
}

function checked(entries: readonly LedgerEntry[]) {
  const checker = chainChecker()
  for (const entry of entries) checker.take(entry)
  return checker.report()
}

describe('canonical JSON (RFC 8785)', () => {
  it('writes the example of section 3.2.3 in order of code units', () => {
    const dalet = '\ufb33'
    const keys = { '\u20ac': 1, '\r': 2, [dalet]: 3, '1': 4, '\ud83d\ude00': 5, '\u0080': 6, '\u00f6': 7 }
    const order = [...canonicalJson(keys).matchAll(/:(\d)/g)].map(([, digit]) => Number(digit))
    expect(order).toEqual([2, 4, 6, 7, 1, 5, 3])
  })
  it('writes numbers as section 3.2.2.3 does', () => {
    expect(canonicalJson([Number('333333333.33333329'), 1e30, 4.5, 2e-3, 1e-27])).toBe(
      '[333333333.3333333,1e+30,4.5,0.002,1e-27]',
    )
  })
  it.each([Number.NaN, Infinity, () => 1, 1n])('refuses %s', (value) => {
    expect(() => canonicalJson({ value })).toThrow(TypeError)
  })
  it('writes strings as ECMAScript does: signs, controls and halves of pairs too', () => {
    expect(canonicalJson('a "b" \\ \n \u007f \u2028 \ud800 😀')).toBe(
      JSON.stringify('a "b" \\ \n \u007f \u2028 \ud800 😀'),
    )
    fc.assert(
      fc.property(fc.string({ unit: 'binary' }), (text) => {
        expect(canonicalJson({ [text]: text })).toBe(JSON.stringify({ [text]: text }))
      }),
    )
  })
  it('reads back to what it was', () => {
    fc.assert(
      fc.property(fc.jsonValue({ noUnicodeString: false }), (value) => {
        expect(JSON.parse(canonicalJson(value))).toEqual(JSON.parse(JSON.stringify(value)))
      }),
    )
  })
})

describe('the hash chain', () => {
  it('is SHA-256 as Node computes it', () => {
    const [entry] = chainOf(1)
    if (!entry) throw new Error('no entry')
    const { hash: _, ...said } = entry
    expect(entryHash(entry)).toBe(createHash('sha256').update(canonicalJson(said)).digest('hex'))
  })
  it('holds from the first entry', () => {
    const entries = chainOf(5)
    expect(entries[0]?.previousHash).toBe(GENESIS_HASH)
    expect(checked(entries)).toEqual({ kind: 'whole', entries: 5, lastHash: entries[4]?.hash })
  })
  it('names the first entry of which one character was changed', () => {
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 19 }), fc.nat({ max: 5 }), (index, at) => {
        const entries = chainOf(20)
        const victim = entries[index]
        if (!victim) throw new Error('no victim')
        const swapped = victim.text[at] === 'x' ? 'y' : 'x'
        entries[index] = { ...victim, text: victim.text.slice(0, at) + swapped + victim.text.slice(at + 1) }
        expect(checked(entries)).toMatchObject({ kind: 'broken', sequence: index + 1 })
      }),
    )
  })
  it.each([
    ['an entry taken out', (entries: LedgerEntry[]) => entries.toSpliced(2, 1), 4, 'missing'],
    [
      'two entries exchanged',
      (entries: LedgerEntry[]) => entries.toSpliced(1, 2, ...entries.slice(1, 3).reverse()),
      3,
      'missing',
    ],
  ])('sees %s', (_name, spoil, sequence, why) => {
    const report = checked(spoil(chainOf(5)))
    expect(report).toMatchObject({ kind: 'broken', sequence })
    expect(report.kind === 'broken' && report.why).toContain(why)
  })
  it('sees an entry replaced together with its hash, by the link of the next', () => {
    const entries = chainOf(3)
    const second = entries[1]
    if (!second) throw new Error('no second')
    const forged = { ...second, text: canonicalJson({ id: 'fact-2', body: 'forged' }) }
    entries[1] = { ...forged, hash: entryHash(forged) }
    expect(checked(entries)).toMatchObject({
      kind: 'broken',
      sequence: 3,
      why: 'it does not name the entry before it',
    })
  })
})
