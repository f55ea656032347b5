import { z } from 'zod'
import defaults from './data/windows.json' with { type: 'json' }
import {
  type DocumentProblem,
  defineDocument,
  Id,
  repeated,
  StatedSources,
  sourceProblems,
  Text,
} from './document-kind.ts'

const Minutes = z
  .int()
  .min(0)
  .max(24 * 60)
const Class = z.strictObject({ minutesBefore: Minutes, minutesAfter: Minutes, source: Id })

/** How early and how late a dose may be, and how close two doses may come. */
const Windows = z.strictObject({
  classes: z.strictObject({
    'time-critical': Class,
    'more-often-than-daily': Class,
    'daily-or-longer': Class,
  }),
  /** Doses that are not scheduled to the clock: due at their instant, and on time within so many minutes after. */
  exact: z.strictObject({
    onTimeWithinMinutes: z.strictObject({
      stat: Minutes,
      first: Minutes,
      once: Minutes,
      continuous: Minutes,
    }),
    source: Id,
  }),
  /** No window reaches further from the dose than this share of the interval between doses. */
  notBeyondShareOfInterval: z.strictObject({ share: z.number().gt(0).max(0.5), source: Id }),
  /** Medicines that are time-critical here whatever their frequency. */
  timeCriticalMedicines: z.array(z.strictObject({ medicineId: Id, why: Text, source: Id })),
  /** Medicines with a window of their own, which outranks the class. */
  medicines: z.array(
    z.strictObject({ medicineId: Id, minutesBefore: Minutes, minutesAfter: Minutes, why: Text, source: Id }),
  ),
  /** Closest that two doses of an order may come in real time, by code; others: the interval less one window. */
  minimumGaps: z.array(z.strictObject({ code: Id, minutes: z.int().positive(), source: Id })),
  /** For codes that `minimumGaps` does not name. */
  otherGaps: z.strictObject({ source: Id }),
  sources: StatedSources,
})
export type Windows = z.infer<typeof Windows>

function check(content: Windows): DocumentProblem[] {
  const { classes, timeCriticalMedicines, medicines, minimumGaps } = content
  const byMedicine = [...timeCriticalMedicines, ...medicines]
  return [
    ...repeated(
      'timeCriticalMedicines',
      timeCriticalMedicines.map(({ medicineId }) => medicineId),
    ),
    ...repeated(
      'medicines',
      medicines.map(({ medicineId }) => medicineId),
    ),
    ...repeated(
      'minimumGaps',
      minimumGaps.map(({ code }) => code),
    ),
    ...sourceProblems(content.sources, [
      ...Object.entries(classes).map(([name, { source }]) => ({ where: `classes.${name}`, key: source })),
      ...byMedicine.map(({ medicineId, source }) => ({ where: `medicines.${medicineId}`, key: source })),
      ...minimumGaps.map(({ code, source }) => ({ where: `minimumGaps.${code}`, key: source })),
      { where: 'exact', key: content.exact.source },
      { where: 'notBeyondShareOfInterval', key: content.notBeyondShareOfInterval.source },
      { where: 'otherGaps', key: content.otherGaps.source },
    ]),
  ]
}

export const WINDOWS = defineDocument({
  name: 'windows',
  title: 'Windows and gaps between doses',
  schema: Windows,
  defaults,
  check,
})
