import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { GAS_KINDS } from '../../../clinical/aerosol/gas.ts'
import { INTERFACE_KINDS } from '../../../clinical/aerosol/interface.ts'
import { readBench, writeBench } from './bench-link.ts'
import { type BenchRange, PATIENT_RANGES, SETUP_RANGES } from './bench-ranges.ts'
import { type Bench, USUAL_BENCH, withSetup } from './bench-state.ts'

const CUPS = ['tee-jet', 'mask-jet', '100', 'true']

const numberOf = ({ low, high, step }: BenchRange) =>
  fc
    .integer({ min: 0, max: Math.floor((high - low) / step + 1e-9) })
    .map((n) => Number((low + n * step).toFixed(3)))

const setup = fc.record({
  cupId: fc.constantFrom(...CUPS),
  fillMl: numberOf(SETUP_RANGES.fillMl),
  gas: fc.constantFrom(...GAS_KINDS),
  flowLPerMin: numberOf(SETUP_RANGES.flowLPerMin),
  interface: fc.constantFrom(...INTERFACE_KINDS),
  distanceCm: numberOf(SETUP_RANGES.distanceCm),
  mask: fc.constantFrom('standard' as const, 'shaped' as const),
  reservoirMl: numberOf(SETUP_RANGES.reservoirMl),
  breathesBy: fc.constantFrom('mouth' as const, 'nose' as const),
})
const bench: fc.Arbitrary<Bench> = fc.record({
  patient: fc.record({
    doseMg: fc.integer({ min: 1, max: 5_000_000 }).map((micrograms) => micrograms / 1000),
    form: fc.constantFrom('solution' as const, 'suspension' as const),
    lungs: fc.constantFrom('healthy' as const, 'obstructed' as const),
    weightKg: fc.option(numberOf(PATIENT_RANGES.weightKg)),
    tidalMl: numberOf(PATIENT_RANGES.tidalMl),
    ratePerMin: numberOf(PATIENT_RANGES.ratePerMin),
    outPerIn: numberOf(PATIENT_RANGES.outPerIn),
    cannulaLPerMin: numberOf(PATIENT_RANGES.cannulaLPerMin),
    roomCel: numberOf(PATIENT_RANGES.roomCel),
    pressureKPa: numberOf(PATIENT_RANGES.pressureKPa),
  }),
  setups: fc.array(setup, { minLength: 2, maxLength: 4 }),
})

const usual = new URLSearchParams(writeBench(USUAL_BENCH, null))
/** The usual link with one field set to something else, or taken out. */
function linkWith(key: string, value: string | null): string {
  const said = new URLSearchParams(usual)
  if (value === null) said.delete(key)
  else said.set(key, value)
  return `?${said}`
}
function problemsOf(search: string): readonly string[] {
  const read = readBench(search, CUPS)
  return read.kind === 'refused' ? read.problems : []
}

describe('a link to a bench', () => {
  it('gives back exactly the bench it was made of, and its visit', () => {
    fc.assert(
      fc.property(bench, fc.option(fc.uuid()), (made, visitId) => {
        expect(readBench(`?${writeBench(made, visitId)}`, CUPS)).toEqual({
          kind: 'bench',
          bench: made,
          visitId,
        })
      }),
      { numRuns: 60 },
    )
  })

  it('may say nothing, or only the visit to go back to', () => {
    expect(readBench('', CUPS)).toEqual({ kind: 'nothing said', visitId: null })
    expect(readBench('?visit=0197-ab', CUPS)).toEqual({ kind: 'nothing said', visitId: '0197-ab' })
  })

  it.each([
    ['a.flow', '40', '“a.flow” is “40”: it may be 4 to 12 L/min.'],
    ['a.flow', '6.2', '“a.flow” is “6.2”: it may be 4 to 12 L/min in steps of 0.5.'],
    ['b.fill', '1e1', '“b.fill” is “1e1”: is not a plain number.'],
    ['b.fill', '-3', '“b.fill” is “-3”: is not a plain number.'],
    ['b.fill', '', '“b.fill” is “”: is not a plain number.'],
    [
      'a.gas',
      'steam',
      '“a.gas” is “steam”: it may be air, oxygen, heliox 80/20, heliox 70/30, heliox 60/40.',
    ],
    ['a.cup', 'gone', '“a.cup” is “gone”: no cup of that name is kept here.'],
    [
      'weight',
      '90',
      '“weight” is “90”: it may be adult, or the weight of a child, 2 to 73 kg in steps of 0.5.',
    ],
    ['dose', '0', '“dose” is “0”: it may be 0.001 to 5000 mg.'],
    ['dose', '2.50001', '“dose” is “2.50001”: it is given to the microgram.'],
    ['rate', null, '“rate” is missing.'],
    ['a.tube', null, '“a.tube” is missing.'],
    ['speed', '3', '“speed” is not known to the bench.'],
    ['a.speed', '3', '“a.speed” is not known to the bench.'],
    ['visit', 'a/b', '“visit” is “a/b”: it is not the name of a visit.'],
  ])('is refused whole when %s is %s', (key, value, sentence) => {
    expect(problemsOf(linkWith(key, value))).toEqual([sentence])
  })

  it('says in one sentence what is missing', () => {
    const [first, ...others] = problemsOf('?rate=20&a.flow=6')
    expect(first).toBe(
      '“dose”, “form”, “lungs”, “weight”, “tidal”, “out”, “cannula”, “room”, “pressure” are missing.',
    )
    expect(others).toEqual([
      '“a.cup”, “a.fill”, “a.gas”, “a.by”, “a.off”, “a.mask”, “a.tube”, “a.through” are missing.',
      'Set-up B is missing: a bench has two to four.',
    ])
  })

  it('is refused with a field said twice, one set-up alone, or a gap between set-ups', () => {
    expect(problemsOf(`?${usual}&rate=20`)).toEqual(['“rate” is said twice.'])
    const alone = new URLSearchParams([...usual].filter(([key]) => !key.startsWith('b.')))
    expect(problemsOf(`?${alone}`)).toEqual(['Set-up B is missing: a bench has two to four.'])
    const three = new URLSearchParams(
      writeBench(
        { ...USUAL_BENCH, setups: [...USUAL_BENCH.setups, ...USUAL_BENCH.setups.slice(0, 1)] },
        null,
      ),
    )
    const gap = new URLSearchParams([...three].map(([key, value]) => [key.replace(/^c\./, 'd.'), value]))
    expect(problemsOf(`?${gap}`)).toEqual(['Set-up D is there without the one before it.'])
  })

  it('is not fooled by names that every object has', () => {
    expect(problemsOf(linkWith('__proto__', '1'))).toEqual(['“__proto__” is not known to the bench.'])
    expect(problemsOf(linkWith('constructor', '1'))).toEqual(['“constructor” is not known to the bench.'])
  })
})

describe('withSetup', () => {
  it('changes one set-up and leaves the others the same objects', () => {
    const changed = withSetup(USUAL_BENCH, 1, { flowLPerMin: 10 })
    expect(changed.setups[0]).toBe(USUAL_BENCH.setups[0])
    expect(changed.setups[1]).toEqual({ ...USUAL_BENCH.setups[1], flowLPerMin: 10 })
  })
})
