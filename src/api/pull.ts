/**
 * How a tablet takes over what concerns the shift, and no more: what server and app agree on. The tablet holds the
 * patients of a set that the server names, each whole, and what is about nobody and still counts.
 *
 * 1. From nothing (`after` 0): what is about nobody and still counts, in pages; the last page says up to where. Each page
 *    is asked for with the mark of the one before, so that no page is of another ledger than the others.
 * 2. A pull that names another set than the present one is told the set, and no entries. The tablet fetches the patients
 *    that it lacks, whole, lets go of those that it need not hold, and notes the set.
 * 3. A pull that names the present set is told what came after its cursor about nobody, about the patients of the set and
 *    about those whom the tablet holds beside it.
 *
 * No page can leave a gap: entries are passed over only of patients whom the tablet does not hold, and whoever comes in
 * later is fetched whole, at a point of the ledger no earlier than the cursor.
 */
import { z } from 'zod'
import { Device, EntryHash, LedgerEntryTold } from './schemas.ts'

const PatientId = z.string().min(1).max(200)
/** A set of patients, by the SHA-256 of their ids: sorted, each followed by a line feed. */
const ScopeHash = z.string().regex(/^[0-9a-f]{64}$/)
/** So many patients are fetched whole in one request at most. */
export const MOST_PATIENTS = 50

/** What each request says of the tablet that sends it, and how many facts wait on it. */
const Said = { device: Device, waiting: z.int().min(0) }

/** POST /api/pull: what is new of what concerns the shift. */
export const Pull = z.strictObject({
  ...Said,
  /** All that concerns this tablet up to this entry has been taken over; 0 to begin. */
  after: z.int().min(0),
  /** With `after` 0: the last entry of the page before; 0 for the first page. */
  from: z.int().min(0),
  /**
   * The hash, as it was told, of the entry `after`, or `from` with `after` 0; null when both are 0. A ledger brought back
   * from an older copy has another there, or none, and says 409.
   */
  mark: EntryHash.nullable(),
  /** The set that the tablet holds; null before it was told one. */
  scope: ScopeHash.nullable(),
  /** Patients held, whole, who are not in that set. */
  beside: z.array(PatientId).max(5000),
})
export type Pull = z.infer<typeof Pull>

export const PullAnswer = z.discriminatedUnion('kind', [
  z.strictObject({
    kind: z.literal('scope'),
    scope: ScopeHash,
    patients: z.array(PatientId),
    /** The highest sequence of the ledger. */
    last: z.int(),
  }),
  z.strictObject({
    kind: z.literal('entries'),
    entries: z.array(LedgerEntryTold),
    /** Of what concerns this tablet nothing is missing up to here. Stays 0 until the last page from nothing. */
    upTo: z.int(),
    /** The hash of the entry `upTo`, or of the last on a page from nothing after which there is more; null where nothing is. */
    mark: EntryHash.nullable(),
    last: z.int(),
    more: z.boolean(),
  }),
])
export type PullAnswer = z.infer<typeof PullAnswer>

/** POST /api/pull/patients: all that was ever said of some patients. */
export const PullPatients = z.strictObject({
  ...Said,
  ids: z.array(PatientId).min(1).max(MOST_PATIENTS),
})
export type PullPatients = z.infer<typeof PullPatients>

export const PullPatientsAnswer = z.strictObject({
  entries: z.array(LedgerEntryTold),
  /** Nothing of these patients is missing up to here. */
  upTo: z.int(),
})
export type PullPatientsAnswer = z.infer<typeof PullPatientsAnswer>
