import { describe, expect, it } from 'vitest'
import { z } from 'zod'
import { runCommand } from '../../test/support/terminal.ts'
import type { Calculation } from '../clinical/calculation.ts'
import { answer } from './answer.ts'
import { CALCULATIONS } from './calculations.ts'
import { work } from './commands/work.ts'
import questions from './test-data/questions.json' with { type: 'json' }

type Place = readonly (string | number)[]

/** Every place in a question, outermost first. */
function placesIn(value: unknown, place: Place = []): Place[] {
  const own = place.length === 0 ? [] : [place]
  if (value === null || typeof value !== 'object') return own
  const keys = Object.keys(value).map((key) => (Array.isArray(value) ? Number(key) : key))
  return [...own, ...keys.flatMap((key) => placesIn(at(value, [key]), [...place, key]))]
}

function at(value: unknown, place: Place): unknown {
  return place.reduce<unknown>((inner, key) => (inner as Record<string | number, unknown>)[key], value)
}

function withAt(value: unknown, place: Place, put: unknown): unknown {
  const copy = structuredClone(value)
  const last = place.at(-1) ?? ''
  ;(at(copy, place.slice(0, -1)) as Record<string | number, unknown>)[last] = put
  return copy
}

/** What comes in place of any value: words for no number, other kinds, wrong units, and figures at and beyond all ends. */
const NUMBERS = [-1, 0, 0.01, 130, 5e-324, -1e308, 1e308, Number.MAX_SAFE_INTEGER]
const NOT_NUMBERS = [
  'NaN',
  'Infinity',
  '5 mg',
  '1,5',
  '',
  true,
  [],
  [[1]],
  {},
  Number.NaN,
  Infinity,
  -Infinity,
]

type Given = { readonly result?: unknown; readonly working?: unknown; readonly error?: Refusal }
type Complaint = {
  readonly field: string
  readonly given?: unknown
  readonly what?: string
  readonly allowed?: string
}
type Refusal = Complaint & { readonly kind: string; readonly fields?: readonly Complaint[] }

const complaintsOf = (error: Refusal): readonly Complaint[] => error.fields ?? [error]

function figuresAreNumbers(value: unknown): boolean {
  if (typeof value === 'number') return Number.isFinite(value)
  return value === null || typeof value !== 'object' || Object.values(value).every(figuresAreNumbers)
}

/** The innermost name of a place: a number of a list goes by the name of the list. */
const nameOf = (place: Place) => String(place.findLast((key) => typeof key === 'string'))

/** Fields whose value says how another is read, so that the refusal may name the other. */
const byName = new Map(CALCULATIONS.map((each) => [each.name, each]))
const cases = questions.map(({ name, input }) => [name, input] as const)

function calculationOf(name: string): Calculation {
  const found = byName.get(name)
  if (!found) throw new Error(`no calculation is called ${name}`)
  return found
}

describe('whatever stands in place of a good value', () => {
  it.each(cases)('%s %j answers in finite figures, or refuses by field, value and range', (name, input) => {
    const calculation = calculationOf(name)
    const problems: unknown[] = []
    for (const place of placesIn(input)) {
      for (const bad of [...NUMBERS, ...NOT_NUMBERS, null, 'strange']) {
        const { result, working, error } = answer(calculation, withAt(input, place, bad), true) as Given
        const told = error ? complaintsOf(error) : []
        if (
          error &&
          (told.length === 0 || told.some(({ field, what, allowed }) => !field || !(what || allowed)))
        )
          problems.push({ place, bad, error })
        if (!error && !figuresAreNumbers([result, working])) problems.push({ place, bad, result })
      }
    }
    expect(problems).toEqual([])
  })

  it.each(cases)(
    '%s %j takes nothing but a number for a number, and says which field it was',
    (name, input) => {
      const calculation = calculationOf(name)
      for (const place of placesIn(input).filter((each) => typeof at(input, each) === 'number')) {
        for (const bad of NOT_NUMBERS) {
          const { error } = answer(calculation, withAt(input, place, bad), false) as Given
          if (!error && bad !== '5 mg' && MAY_BE_ELSE.has(nameOf(place))) continue
          expect(
            error && complaintsOf(error).some(({ field }) => field.includes(nameOf(place))),
            `${place} ${bad}`,
          ).toBe(true)
        }
      }
    },
  )

  it.each(cases)('%s %j refuses a field that it does not know, at any depth', (name, input) => {
    const calculation = calculationOf(name)
    const places = [[], ...placesIn(input)].filter((place) => {
      const there = at(input, place)
      return there !== null && typeof there === 'object' && !Array.isArray(there)
    })
    for (const place of places) {
      const more = { ...(at(input, place) as object), unheardOf: 1 }
      const { error } = answer(
        calculation,
        place.length === 0 ? more : withAt(input, place, more),
        false,
      ) as Given
      expect(
        error && complaintsOf(error).some(({ field }) => field.includes('unheardOf')),
        String(place),
      ).toBe(true)
    }
  })
})

/** Fields that may also be a list, a word or a switch. */
const MAY_BE_ELSE: ReadonlySet<string> = new Set(['fill_mL', 'Q_Lmin', 'GSD', 'dose'])

describe('through the terminal', () => {
  const ask = async (name: string, stdin: string) => {
    const { exit, said } = await runCommand(work, [name, '--working'], { stdin })
    return { exit, told: JSON.parse(said) as unknown }
  }

  it.each(CALCULATIONS.map(({ name }) => name))('%s says of no object at all what is wrong', async (name) => {
    const { told } = await ask(name, '[null, [], [[1]], 1, "words", true]')
    for (const each of told as Given[]) {
      expect(each.error?.fields?.length).toBeGreaterThan(0)
      for (const { field, what } of each.error?.fields ?? []) {
        expect(field.length).toBeGreaterThan(0)
        expect(what?.length).toBeGreaterThan(0)
      }
    }
    expect((await ask(name, 'null')).exit).toBe(1)
    expect(await ask(name, '[]')).toEqual({ exit: 0, told: [] })
  })

  it.each(['NaN', '{"a": Infinity}', '', '{'])('%j is no JSON and is told as such', async (stdin) => {
    await expect(runCommand(work, ['news2'], { stdin })).rejects.toThrow(/not JSON/)
  })

  it('a number too large for JSON is told as an infinity, not as nothing', async () => {
    const { told } = await ask('news2', '{"spo2": 1e999}')
    expect(told).toMatchObject({ error: { fields: [{ field: 'spo2', given: 'Infinity' }] } })
  })

  it('a name that is no calculation is told', async () => {
    await expect(runCommand(work, ['horoscope'], { stdin: '{}' })).rejects.toThrow(/horoscope/)
  })
})

describe('the field that is refused goes by the name it came in by', () => {
  it.each<[string, object, string]>([
    ['dose', { kind: 'ratio-to-mg-per-mL', ratio: 'NaN' }, 'ratio'],
    ['dose', { kind: 'mg-to-volume', strength: '0.5 %', dose_mg: 0 }, 'dose_mg'],
    [
      'dose',
      { kind: 'dilute-to-fill', dose_mg: 2.5, concentration_mg_per_mL: -1, target_fill_mL: 3 },
      'concentration_mg_per_mL',
    ],
    ['inhaled-share', { VT_mL: 500, rate_per_min: 15, Q_neb_Lmin: 0 }, 'Q_neb_Lmin'],
    ['inhaled-share', { VT_mL: 500, rate_per_min: 15, Q_neb_Lmin: 8, reservoir_mL: -1 }, 'reservoir_mL'],
    ['droplets', { MMAD_um: 4, GSD: 2, d_um: 5e-324 }, 'd_um'],
    [
      'minimum-gap',
      { lastGivenAt: '2026-03-10T12:00:00Z', at: '2026-03-10T13:00:00Z', minimumGapMinutes: 1e308 },
      'minimumGapMinutes',
    ],
    ['stop-rules', { phase: 'during', limits: { spo2TargetLow: 1e308 } }, 'limits.spo2TargetLow'],
    ['stop-rules', { phase: 'during', limits: { targetOfSpo2: 92 } }, 'limits.targetOfSpo2'],
    [
      'continuous',
      { mg_h: 10, cup_output_mL_h: 16, pump_mL_h: -1, cup_start_mL: 4, cup_capacity_mL: 18 },
      'pump_mL_h',
    ],
    ['continuous', { mg_h: 10, cup_output_mL_h: { mean: 'NaN' } }, 'cup_output_mL_h.mean'],
  ])('%s %j: %s', (name, input, field) => {
    const { error } = answer(calculationOf(name), input, false) as Given
    expect(error && complaintsOf(error).map((each) => each.field)).toEqual([field])
  })

  it('a look of a course that cannot be names its treatment', () => {
    const asked = questions.find(({ name }) => name === 'reassessment')
    const input = withAt(asked?.input, ['treatments', 1, 'before', 'spo2Percent'], 1e308)
    expect(answer(calculationOf('reassessment'), input, false)).toMatchObject({
      error: { field: 'treatments[1].before.spo2Percent', allowed: expect.stringMatching(/to 100 %/) },
    })
  })

  it('every input is strict: its schema allows no other field', () => {
    for (const { name, input } of CALCULATIONS) {
      const shape = z.toJSONSchema(input, { io: 'input', unrepresentable: 'any' })
      expect(JSON.stringify(shape), name).toContain('"additionalProperties":false')
    }
  })
})
