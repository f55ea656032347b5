import type { Chart } from '../../chart/folds/chart.ts'
import type { AnyFact } from '../../chart/registry.ts'
import type { DoorSettings, FactMaker, Received } from '../fact-maker.ts'
import { replay } from '../fact-maker.ts'
import { attempt } from '../fact-refused.ts'
import { EntryMaker } from './entry-maker.ts'
import { outcomeOf } from './outcome.ts'
import type { FhirProblem } from './problem.ts'
import { EntryReader } from './read/entry-reader.ts'
import { InBundle } from './read/in-bundle.ts'
import { type BundleReading, type CheckedEntry, readBundle } from './read/read-bundle.ts'
import type { Bundle, BundleEntry, OperationOutcome } from './resources.ts'

/** What was sent: its text, or the bytes and why they are no text. */
export type SentBundle = { readonly text: string } | { readonly base64: string; readonly whyNot: string }

type Done = {
  readonly checked: CheckedEntry
  readonly problems: readonly FhirProblem[]
  readonly reader: EntryReader
  readonly made: readonly AnyFact[]
  readonly location: string | null
}

/** Patients first, then where they are and what they bear, then orders, then what was done. */
const RANKS: readonly (readonly string[])[] = [
  ['Patient'],
  ['AllergyIntolerance', 'Encounter'],
  ['MedicationRequest'],
]
const rankOf = ({ resource }: CheckedEntry) => {
  const rank = RANKS.findIndex((types) => types.includes(resource?.resourceType ?? ''))
  return rank === -1 ? RANKS.length : rank
}

/**
 * Takes bundles of FHIR R4 by the same door as all messages: kept whole whatever becomes of them, answered, and answered
 * alike when they come again. Nothing is made of an entry that cannot be used; of a transaction nothing at all then.
 */
export class FhirDoor {
  readonly #maker: FactMaker
  readonly #settings: DoorSettings
  constructor(maker: FactMaker, settings: DoorSettings) {
    this.#maker = maker
    this.#settings = settings
  }

  /** @throws FactRefused for a bundle that is longer than the ledger keeps (4,000,000 characters) */
  receive(sent: SentBundle, chart: Chart): Received {
    const raw = 'text' in sent ? sent.text : sent.base64
    const reading: BundleReading =
      'text' in sent
        ? readBundle(sent.text)
        : {
            ok: false,
            key: null,
            type: null,
            problems: [{ where: '', code: 'structure', what: sent.whyNot }],
          }
    const before = this.#maker.before(reading.key ?? raw, chart)
    if (before?.raw === raw) return replay(before, reading.key)
    if (before) return this.#takenKey(reading, raw, chart)
    if (!reading.ok) return this.#refused(reading.type, raw, reading, 'text' in sent ? 'text' : 'base64')
    return this.#entries(reading, raw, chart)
  }

  /** One number names one bundle: another under the same number is kept and not used. */
  #takenKey(reading: BundleReading, raw: string, chart: Chart): Received {
    const own = `${reading.key}|${raw}`
    const before = this.#maker.before(own, chart)
    if (before?.raw === raw) return replay(before, reading.key)
    const what =
      'another bundle came before under this identifier; this one was kept and not used. Send it under a new one'
    const problems: FhirProblem[] = [{ where: 'Bundle.identifier', code: 'duplicate', what }]
    return this.#kept(
      {
        key: reading.key,
        type: typeOf(reading),
        raw,
        code: 'AE',
        answer: outcomeOf(problems),
        problems,
        made: [],
      },
      own,
    )
  }

  #refused(
    type: string | null,
    raw: string,
    { key, problems }: { readonly key: string | null; readonly problems: readonly FhirProblem[] },
    encoding: 'text' | 'base64',
  ): Received {
    return this.#kept({
      key,
      type,
      raw,
      code: 'AR',
      answer: outcomeOf(problems),
      problems,
      made: [],
      encoding,
    })
  }

  #entries(reading: Extract<BundleReading, { ok: true }>, raw: string, chart: Chart): Received {
    const { bundle, entries, key } = reading
    const seen = chart.copy()
    const inBundle = new InBundle(entries, this.#settings.writer.facility)
    const maker = new EntryMaker(this.#maker, this.#settings, inBundle, seen)
    const inTurn = [...entries].sort((a, b) => rankOf(a) - rankOf(b) || a.index - b.index)
    const done = inTurn
      .map((checked) => this.#entry(checked, maker, seen))
      .sort((a, b) => a.checked.index - b.checked.index)
    const problems = done.flatMap(problemsOf)
    const warnings = done.flatMap(({ checked, reader }) =>
      reader.warnings.map((what): FhirProblem => ({ where: placeOf(checked), code: 'informational', what })),
    )
    const isWhole = bundle.type !== 'transaction' || problems.length === 0
    const code = problems.length === 0 ? 'AA' : 'AE'
    const answer = isWhole ? responseOf(bundle, done) : outcomeOf(problems)
    const made = isWhole ? inTurn.flatMap(({ index }) => done[index]?.made ?? []) : []
    return this.#kept({
      key,
      type: typeOf(reading),
      raw,
      code,
      answer,
      problems: [...problems, ...warnings],
      made,
    })
  }

  #entry(checked: CheckedEntry, maker: EntryMaker, seen: Chart): Done {
    const reader = new EntryReader(checked.resource?.resourceType ?? 'entry')
    if (checked.problems.length > 0 || checked.resource === null)
      return { checked, problems: checked.problems, reader, made: [], location: null }
    const { resource, index } = checked
    let location: string | null = null
    const tried = attempt(() => {
      const one = maker.make(reader, resource, index)
      location = one.location
      return reader.problems.length > 0 ? [] : one.made
    })
    if (!tried.ok) {
      const problem: FhirProblem = {
        where: resource.resourceType,
        code: 'value',
        what: tried.refused.message,
      }
      return { checked, problems: [problem], reader, made: [], location: null }
    }
    if (reader.problems.length > 0)
      return { checked, problems: reader.problems, reader, made: [], location: null }
    seen.add(tried.made)
    return { checked, problems: [], reader, made: tried.made, location }
  }

  #kept(
    said: {
      readonly key: string | null
      readonly type: string | null
      readonly raw: string
      readonly code: 'AA' | 'AE' | 'AR'
      readonly answer: Bundle | OperationOutcome
      readonly problems: readonly FhirProblem[]
      readonly made: readonly AnyFact[]
      readonly encoding?: 'text' | 'base64'
    },
    storedUnder?: string,
  ): Received {
    const { key, type, raw, code, answer, problems, made, encoding = 'text' } = said
    return this.#maker.kept(
      {
        channel: 'fhir',
        raw,
        encoding,
        key,
        type: type ?? 'FHIR',
        sender: null,
        answer: { code, text: JSON.stringify(answer) },
        problems: problems.map(({ where, code: issue, what }) => ({ where, code: issue, what })),
      },
      made,
      storedUnder,
    )
  }
}

function typeOf(reading: BundleReading): string | null {
  return reading.ok ? `Bundle ${reading.bundle.type}` : reading.type
}

function placeOf({ index, resource }: CheckedEntry): string {
  return `Bundle.entry[${index}]${resource ? ` ${resource.resourceType}` : ''}`
}

/** Places are told from the bundle down, so that each can be found. */
function problemsOf({ checked, problems }: Done): FhirProblem[] {
  const at = `Bundle.entry[${checked.index}]`
  return problems.map((problem) => ({
    ...problem,
    where: problem.where.startsWith('entry')
      ? problem.where.replace('entry', at)
      : `${at}.resource ${problem.where}`.trim(),
  }))
}

function responseOf(bundle: Bundle, done: readonly Done[]): Bundle {
  return {
    resourceType: 'Bundle',
    type: bundle.type === 'transaction' ? 'transaction-response' : 'batch-response',
    entry: done.map(({ reader, problems, made, location }): BundleEntry => {
      const isTold = problems.length + reader.warnings.length + reader.notes.length > 0
      const status =
        problems.length > 0 ? '422 Unprocessable Entity' : made.length > 0 ? '201 Created' : '200 OK'
      return {
        response: {
          status,
          ...(location !== null && { location }),
          ...(isTold && { outcome: outcomeOf(problems, reader) }),
        },
      }
    }),
  }
}
