import { z } from 'zod'
import { type Calculation, calculation, type Working } from '../../clinical/calculation.ts'
import { BadInput } from '../../clinical/worked.ts'
import { ClockTime, repeated } from '../documents/document-kind.ts'
import { FIRST_DOSE_RULES, STANDARD_TIMES, type StandardTimes } from '../documents/standard-times.ts'
import { WINDOWS } from '../documents/windows.ts'
import { Instant } from '../fact.ts'
import type { Frequency } from '../facts/orders.ts'
import { type DueDose, dosesDue } from './doses-due.ts'
import { readFrequencyCode } from './frequency-code.ts'
import { gapSinceLast, prnAvailableAt } from './gap.ts'
import type { OrderLife } from './order-spans.ts'

/** An instant with its offset, given in any of ISO 8601's ways, as UTC to the millisecond. */
const AnyInstant = z.iso
  .datetime({ offset: true })
  .transform((given) => new Date(given).toISOString())
  .pipe(Instant)

const DueTimes = z.strictObject({
  /** A code (QID, Q4H, Q20M, ONCE, STAT, ...). */
  frequency: z.string().min(1).max(80),
  start: AnyInstant,
  end: AnyInstant.optional(),
  timeZone: z.string(),
  from: AnyInstant,
  to: AnyInstant,
  /** One of the tables in the program's own document, or a table of one's own. */
  standardTimes: z.union([z.string(), z.record(z.string(), z.array(ClockTime).min(1))]).optional(),
  statedTimes: z.array(ClockTime).min(1).optional(),
  countFromStart: z.boolean().optional(),
  whileAwake: z.boolean().optional(),
  priority: z.enum(['routine', 'asap', 'stat']).optional(),
  firstDose: z.enum(FIRST_DOSE_RULES).optional(),
  holds: z.array(z.strictObject({ from: AnyInstant, to: AnyInstant.nullable() })).optional(),
  discontinuedAt: AnyInstant.optional(),
  dischargedAt: AnyInstant.optional(),
})
type DueTimes = z.infer<typeof DueTimes>

const dueTimes = calculation({
  name: 'due-times',
  purpose: 'When the doses of an order fall due, with the window of each, in UTC.',
  input: DueTimes,
  run: (input) => {
    const rules = {
      standardTimes: timesFor(input),
      windows: WINDOWS.defaults,
      timeZone: input.timeZone,
    }
    const due = dosesDue(lifeOf(input), rules, input.from, input.to, {
      dischargedAt: input.dischargedAt ?? null,
    })
    const doses = due.doses.map(({ working: _, questions: _asked, ...dose }) => dose)
    return { result: { doses, questions: due.questions }, working: together(due.doses) }
  },
})

function timesFor({ standardTimes, firstDose }: DueTimes): StandardTimes {
  const { defaults } = STANDARD_TIMES
  const content = {
    ...defaults,
    firstDose: { ...defaults.firstDose, rule: firstDose ?? defaults.firstDose.rule },
  }
  if (standardTimes === undefined) return content
  if (typeof standardTimes === 'string') {
    const names = defaults.tables.map(({ name }) => name)
    if (!names.includes(standardTimes)) throw new BadInput('standardTimes', standardTimes, names.join(', '))
    return { ...content, inUse: standardTimes, thenLookIn: [] }
  }
  for (const [code, times] of Object.entries(standardTimes)) {
    if (repeated(code, times).length > 0)
      throw new BadInput(`standardTimes.${code}`, times.join(', '), 'each time of day once')
  }
  const rows = Object.entries(standardTimes).map(([code, times]) => ({ code, times }))
  const own = { name: 'given', rows, source: 'given' }
  const source = { key: 'given', cite: 'Times given with the question', standing: 'design rule' } as const
  return { ...content, tables: [own], inUse: 'given', thenLookIn: [], sources: [...content.sources, source] }
}

function lifeOf(input: DueTimes): OrderLife {
  const order = {
    frequency: frequencyOf(input),
    priority: input.priority ?? 'routine',
    startAt: input.start,
    endAt: input.end ?? null,
    prn: null,
    medicines: [],
  }
  return {
    orderId: 'order',
    terms: [{ from: input.start, order }],
    holds: input.holds ?? [],
    discontinued: input.discontinuedAt === undefined ? null : { at: input.discontinuedAt },
  }
}

function frequencyOf(input: DueTimes): Frequency {
  const read = readFrequencyCode(input.frequency)
  if (!read) throw new BadInput('frequency', input.frequency, 'a frequency code such as QID, Q4H or Q20M')
  return {
    ...read,
    ...(input.statedTimes && { statedTimes: input.statedTimes }),
    ...(input.countFromStart && { standardTimes: false }),
    ...(input.whileAwake && { whileAwake: true }),
  }
}

/** The working of all doses as one: steps by dose, sources and cautions once. */
function together(doses: readonly DueDose[]): Working {
  const once = <T>(items: readonly T[]) => [...new Set(items)]
  return {
    steps: doses.map(({ doseAt, working, minutesSinceDoseBefore: since }) =>
      [
        `${doseAt}: ${working.steps.join('; ')}`,
        ...(since === null ? [] : [`${since} min after the dose before`]),
      ].join('; '),
    ),
    sources: once(doses.flatMap(({ working }) => working.sources)),
    cautions: once(
      doses.flatMap(({ doseAt, working }) => working.cautions.map((caution) => `${doseAt}: ${caution}`)),
    ),
  }
}

const prnAvailable = calculation({
  name: 'prn-available',
  purpose: 'From when an as-needed dose may be given again, in UTC.',
  input: z.strictObject({ lastGivenAt: AnyInstant.nullable(), minimumGapMinutes: z.number().nullable() }),
  run: ({ lastGivenAt, minimumGapMinutes }) => {
    const { working, ...result } = prnAvailableAt(lastGivenAt, minimumGapMinutes)
    return { result, working }
  },
})

const minimumGap = calculation({
  name: 'minimum-gap',
  purpose: 'Real minutes since the last dose, held against the least time between doses in minutes.',
  input: z.strictObject({ lastGivenAt: AnyInstant, at: AnyInstant, minimumGapMinutes: z.number() }),
  run: ({ lastGivenAt, at, minimumGapMinutes }) => {
    const { working, ...result } = gapSinceLast(lastGivenAt, at, minimumGapMinutes)
    return { result, working }
  },
})

/** What this subject computes when asked by name. */
export const TIMING_CALCULATIONS: readonly Calculation[] = [dueTimes, prnAvailable, minimumGap]
