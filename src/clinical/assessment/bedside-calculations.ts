import { z } from 'zod'
import { GAS_KINDS } from '../aerosol/gas.ts'
import { calculation } from '../calculation.ts'
import { type Answer, Figure, workingOf } from '../lung-function/calculation-parts.ts'
import { BadInput, type Range, requireWithin } from '../worked.ts'
import { changeAgainstNoise } from './change-against-noise.ts'
import { sourcesOf } from './document.ts'
import { type DyspneaScale, dyspneaChange } from './dyspnea.ts'
import { labelOf } from './label-of.ts'
import { MEASURE_NAMES, type Measure, unitShown } from './measures.ts'
import { ENTRY_UNITS, type EntryField, plausible } from './plausibility.ts'
import { defaultStopRules, PHASES } from './stop-rule-document.ts'
import { judgeStopRules } from './stop-rules.ts'
import { defaultVitalRanges, hypotensionBelow, vitalRanges } from './vital-ranges.ts'

const MeasureName = z.enum(MEASURE_NAMES as [Measure, ...Measure[]])
const Values = z.partialRecord(MeasureName, Figure).default({})
const Signs = z.record(z.string(), z.boolean()).default({})
const Names = z.array(z.string()).default([])

/** The stop rules for what was found now. */
export const stopRules = calculation({
  name: 'stop-rules',
  purpose:
    'Which stop rules speak for what was found now against before the treatment, what to do and whom to tell, and which rules lack a value.',
  input: z.strictObject({
    phase: z.enum(PHASES),
    age_years: Figure.nullable().default(null),
    medicines: Names,
    conditions: Names,
    devices: Names,
    driving_gas: z.string().nullable().default(null),
    limits: z.record(z.string(), Figure).default({}),
    now: Values,
    signs: Signs,
    baseline: z.partialRecord(MeasureName, Figure).nullable().default(null),
  }),
  run: (given): Answer => {
    requireLimits(given.limits)
    requireKnownWords(given)
    const judged = judgeStopRules(
      {
        phase: given.phase,
        ageYears: given.age_years,
        medicines: given.medicines,
        conditions: given.conditions,
        devices: given.devices,
        drivingGas: given.driving_gas,
        limits: given.limits,
      },
      { values: given.now, signs: given.signs },
      given.baseline === null ? null : { values: given.baseline, signs: {} },
    )
    return {
      result: {
        document_version: judged.documentVersion,
        strongest: judged.strongest,
        fired: judged.fired.map(({ sources: _, ...rule }) => rule),
        cannot_run: judged.cannotRun,
      },
      working: workingOf([], {
        steps:
          judged.fired.length > 0
            ? judged.fired.map(({ id, because }) => `${id}: ${because.join('; ')}`)
            : [`${judged.asked} rules were asked: none speaks, ${judged.cannotRun.length} lack a value`],
        sources: judged.fired.flatMap(({ sources }) => sources),
        cautions: judged.fired.flatMap(({ note }) => (note === null ? [] : [note])),
      }),
    }
  },
})

/** What a patient's own limit can be, by its unit. Design rule. */
const LIMIT_RANGES: Readonly<Record<string, Range>> = {
  '%': { low: 1, high: 100, unit: '%' },
  'mm[Hg]': { low: 1, high: 350, unit: 'mmHg' },
  '/min': { low: 1, high: 400, unit: '/min' },
}

/** A limit that no rule knows would be passed over in silence. */
function requireLimits(given: Readonly<Record<string, number>>): void {
  const { limits } = defaultStopRules()
  for (const [name, value] of Object.entries(given)) {
    const range = LIMIT_RANGES[limits[name]?.unit ?? '']
    if (!range)
      throw new BadInput(`limits.${name}`, value, `a limit by name: ${Object.keys(limits).join(', ')}`)
    requireWithin(`limits.${name}`, value, range)
  }
}

type Worded = Readonly<Record<'medicines' | 'conditions' | 'devices', readonly string[]>> & {
  readonly driving_gas: string | null
  readonly signs: Readonly<Record<string, boolean>>
}

/** A word that no rule knows would be passed over in silence, and the rule meant by it with it. */
function requireKnownWords(given: Worded): void {
  const { rules, signs } = defaultStopRules()
  const spoken = (of: 'medicines' | 'conditions' | 'devices') =>
    [...new Set(rules.flatMap(({ appliesTo }) => appliesTo[of] ?? []))].sort()
  for (const field of ['medicines', 'conditions', 'devices'] as const)
    requireAmong(field, given[field], spoken(field))
  if (given.driving_gas !== null) requireAmong('driving_gas', [given.driving_gas], GAS_KINDS)
  for (const sign of Object.keys(given.signs)) {
    if (!signs.includes(sign)) throw new BadInput(`signs.${sign}`, given.signs[sign], signs.join(', '))
  }
}

function requireAmong(field: string, words: readonly string[], allowed: readonly string[]): void {
  const strange = words.find((word) => !allowed.includes(word))
  if (strange !== undefined) throw new BadInput(field, strange, allowed.join(', '))
}

/** Every published range for an age. */
export const ranges = calculation({
  name: 'vital-ranges',
  purpose:
    'Published resting ranges of vital signs for an age, set by set, and the systolic floor (mmHg) of PALS 2015.',
  input: z.strictObject({ score: labelOf('PALS 2015'), age_years: Figure }),
  run: ({ age_years }): Answer => {
    const found = vitalRanges(age_years)
    const floor = hypotensionBelow(age_years)
    const { medians, standing, gapRule, sources } = defaultVitalRanges()
    return {
      result: {
        hypotension_below_mmHg: floor?.mmHg ?? null,
        ranges: found.map(({ source: _, ...range }) => range),
        medians: medians.rows,
      },
      working: workingOf([], {
        steps: [
          ...(floor ? [`PALS 2015, systolic floor: ${floor.sum}`] : []),
          ...found.map(
            ({ set, vital, label, low, high, unit }) =>
              `${set}, ${vital}, ${label}: ${low} to ${high} ${unitShown(unit)}`,
          ),
          ...medians.rows.map(
            ({ age, heartRate, respiratoryRate }) =>
              `median at ${age}: heart rate ${heartRate ?? 'not told'}, respiratory rate ${respiratoryRate ?? 'not told'}`,
          ),
        ],
        sources: [
          ...found.map(({ source }) => source),
          ...(floor?.source ? [floor.source] : []),
          ...sourcesOf(sources, [medians.source]),
        ],
        cautions: [standing, gapRule],
      }),
    }
  },
})

const SCALES = {
  'modified Borg': 'modified Borg',
  'numeric 0-10': 'numeric 0-10',
  numeric_0_10: 'numeric 0-10',
} as const satisfies Record<string, DyspneaScale>

/** Change of a breathlessness rating. */
export const dyspnea = calculation({
  name: 'dyspnea-change',
  purpose: 'Change between two ratings of breathlessness by one scale, and whether it matters to patients.',
  input: z.strictObject({
    score: labelOf('dyspn'),
    scale: z.enum(['modified Borg', 'numeric 0-10', 'numeric_0_10']),
    before: Figure,
    after: Figure,
  }),
  run: ({ scale, before, after }): Answer => {
    const { change, direction, reachesImportant, ...rest } = dyspneaChange(SCALES[scale], before, after)
    return {
      result: { change, direction, reaches_mcid: reachesImportant },
      working: workingOf([], { steps: rest.steps, sources: rest.sources }),
    }
  },
})

/** A change against what the measurement wanders by itself. */
export const noise = calculation({
  name: 'change-against-noise',
  purpose:
    'Whether a change is larger than the noise of its measurement, and whether it matters to patients.',
  input: z.strictObject({ measure: MeasureName, before: Figure, after: Figure }),
  run: ({ measure, before, after }): Answer => {
    const { sources, words, beyondNoise, ...rest } = changeAgainstNoise(measure, before, after)
    return {
      result: { ...rest, beyond_noise: beyondNoise },
      working: workingOf([], { steps: [words], sources }),
    }
  },
})

/** Is a value entered worth a question? */
export const plausibility = calculation({
  name: 'plausibility',
  purpose: 'Whether a value entered is worth a question for the age; nothing is ever changed.',
  input: z.strictObject({
    field: z.enum(Object.keys(ENTRY_UNITS) as [EntryField, ...EntryField[]]),
    value: Figure,
    age_years: Figure.nullable().default(null),
  }),
  run: ({ field, value, age_years }): Answer => {
    const { sources, ...result } = plausible(field, value, age_years)
    const { ok, low, high } = result
    const age = age_years === null ? 'without an age' : `at ${age_years} years`
    const held = `${value} against ${low} to ${high} ${unitShown(ENTRY_UNITS[field])} ${age}`.replace(
      / {2,}/,
      ' ',
    )
    const steps = [`${held}: ${ok ? 'taken as it is' : 'asked about'}`, ...(ok ? [] : [result.why])]
    return { result, working: workingOf([], { steps, sources }) }
  },
})
