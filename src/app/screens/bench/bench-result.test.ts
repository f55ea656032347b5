import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { CUPS } from '../../../chart/documents/cups.ts'
import { type BenchCup, type BenchResult, benchResult } from './bench-result.ts'
import { USUAL_BENCH, withInterface } from './bench-state.ts'
import { percentText } from './dose-parts.ts'

function cupOf(id: string): BenchCup {
  const cup = CUPS.defaults.cups.find((each) => each.id === id)
  if (!cup) throw new Error(`no cup ${id}`)
  return cup
}
const { patient } = USUAL_BENCH
const [mouthpiece, mask] = USUAL_BENCH.setups
if (!mouthpiece || !mask) throw new Error('the usual bench has two set-ups')

function made(result: BenchResult): Extract<BenchResult, { ok: true }> {
  if (!result.ok) throw new Error(result.why)
  return result
}
const sum = (values: readonly number[]) => values.reduce((total, value) => total + value, 0)

describe('where the dose goes', () => {
  it('adds up to the dose and to 100.0 %, whatever the set-up', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 300_000 }).map((micrograms) => micrograms / 1000),
        fc.integer({ min: 10, max: 100 }).map((tenths) => tenths / 10),
        fc.integer({ min: 8, max: 24 }).map((halves) => halves / 2),
        fc.constantFrom('mouthpiece' as const, 'mask' as const, 'mask held off' as const, 'in-line' as const),
        fc.constantFrom('tee-jet', 'mesh-inline'),
        fc.integer({ min: 3, max: 300 }).map((fives) => fives * 5),
        (doseMg, fillMl, flowLPerMin, used, cupId, tidalMl) => {
          const setup = { ...mouthpiece, ...withInterface(used), fillMl, flowLPerMin }
          const { parts } = made(benchResult(setup, { ...patient, doseMg, tidalMl }, cupOf(cupId)))
          expect(parts.length).toBeGreaterThan(1)
          expect(sum(parts.map(({ mg }) => mg)) / doseMg).toBeCloseTo(1, 9)
          expect(sum(parts.map(({ perMille }) => perMille))).toBe(1000)
          for (const part of parts) {
            expect(Math.abs(part.perMille - (1000 * part.mg) / doseMg)).toBeLessThanOrEqual(1)
          }
        },
      ),
      { numRuns: 60 },
    )
  })

  it('names as much as is known: five parts, then what is breathed in or leaves as one', () => {
    const words = (result: BenchResult) => made(result).parts.map(({ name }) => name)
    expect(words(benchResult(mouthpiece, patient, cupOf('tee-jet')))).toEqual([
      'cup',
      'room',
      'exhaled',
      'upper',
      'lung',
    ])
    const inLine = { ...mouthpiece, ...withInterface('in-line') }
    expect(words(benchResult(inLine, patient, cupOf('tee-jet')))).toEqual(['cup', 'left'])
    expect(words(benchResult(inLine, patient, cupOf('mesh-inline')))).toEqual(['cup', 'left'])
  })

  it('does not say zero of what is there', () => {
    expect(percentText({ perMille: 0, mg: 0.0001 })).toBe('under 0.1 %')
    expect(percentText({ perMille: 0, mg: 0 })).toBe('0 %')
    expect(percentText({ perMille: 85, mg: 1 })).toBe('8.5 %')
  })
})

describe('a set-up on the bench', () => {
  it.each(['enhanced', 'actuated', 'ultrasonic', 'large-volume'])('says why %s is refused', (cupId) => {
    const result = benchResult(mouthpiece, patient, cupOf(cupId))
    expect(result).toEqual({
      ok: false,
      why: expect.stringMatching(/^[A-Z][^.]*\. It.*\.$/),
    })
  })

  it('says in words what it will not take', () => {
    expect(benchResult({ ...mouthpiece, breathesBy: 'nose' }, patient, cupOf('tee-jet'))).toEqual({
      ok: false,
      why: 'The way of breathing is nose; it may be mouth, with a mouthpiece.',
    })
    expect(
      benchResult({ ...mouthpiece, fillMl: 9 }, patient, { ...cupOf('tee-jet'), maximumFillMl: 8 }),
    ).toEqual({
      ok: false,
      why: 'The fill is 9; it may be 1 to 8 mL.',
    })
  })

  it('writes the working when it is opened, for the figure that is shown', () => {
    const { cells } = made(benchResult(mouthpiece, patient, cupOf('tee-jet')))
    for (const cell of Object.values(cells)) {
      if (!('worked' in cell)) throw new Error(cell.why)
      expect(cell.worked.steps.length).toBeGreaterThan(1)
      expect(cell.worked.sources.length).toBeGreaterThan(0)
      expect(cell.worked.validity).not.toBe('')
      expect(cell.worked.spread?.low).toBeLessThanOrEqual(cell.worked.value)
      expect(cell.worked.spread?.high).toBeGreaterThanOrEqual(cell.worked.value)
    }
  })

  it('promises no dose with the mask held off, and says so at the figure', () => {
    const { cells } = made(
      benchResult({ ...mask, ...withInterface('mask held off') }, patient, cupOf('mask-jet')),
    )
    expect(cells.lungMg).toMatchObject({ worked: { caution: expect.stringContaining('cannot be promised') } })
    expect(cells.leavesCupMg).not.toHaveProperty('worked.caution')
  })

  it('lets a gas that drives nothing bring no caution', () => {
    const inLine = { ...mouthpiece, ...withInterface('in-line') }
    const [air, heliox] = (['air', 'heliox 80/20'] as const).map((gas) =>
      made(benchResult({ ...inLine, gas }, patient, cupOf('mesh-inline'))),
    )
    expect(heliox?.cautions).toEqual(air?.cautions)
    expect(
      made(benchResult({ ...mouthpiece, gas: 'heliox 80/20' }, patient, cupOf('tee-jet'))).cautions,
    ).toContainEqual(expect.stringContaining('helium'))
  })

  it('warns of a flow that the cup is not made for', () => {
    const { cautions } = made(benchResult({ ...mouthpiece, flowLPerMin: 10 }, patient, cupOf('tee-jet')))
    expect(cautions).toContain('This cup is made for 6 to 8 L/min.')
    const usual = made(benchResult(mouthpiece, patient, cupOf('tee-jet')))
    expect(usual.cautions).not.toContain('This cup is made for 6 to 8 L/min.')
  })
})

describe('inspired oxygen on the bench', () => {
  const oxygen = (result: BenchResult) => made(result).cells.oxygen

  it('is that of the room on air, and above it on oxygen', () => {
    expect(oxygen(benchResult({ ...mask, gas: 'air' }, patient, cupOf('mask-jet')))).toMatchObject({
      worked: { value: expect.closeTo(20.95, 6), unit: '%' },
    })
    const on = oxygen(benchResult(mask, patient, cupOf('mask-jet')))
    expect('worked' in on && on.worked.value).toBeGreaterThan(30)
  })

  it('is left out, with the reason, where the reckoning does not hold', () => {
    for (const used of ['mask held off', 'tracheostomy collar', 'in-line'] as const) {
      expect(
        oxygen(benchResult({ ...mask, ...withInterface(used) }, patient, cupOf('mask-jet'))),
      ).toHaveProperty('why')
    }
    const child = { ...patient, weightKg: 16, cannulaLPerMin: 1 }
    expect(oxygen(benchResult(mask, child, cupOf('mask-jet')))).toEqual({
      why: 'With a cannula it is known for adults only.',
    })
  })
})
