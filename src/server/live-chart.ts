import type { LedgerEntry } from '../chart/chain.ts'
import { Chart } from '../chart/folds/chart.ts'
import type { Ledger } from '../store/ledger.ts'
import { factsOf } from './facts-of.ts'
import { wholePatients } from './whole-patients.ts'

const PAGE = 2000
/** Ids of what is written from a fact begin with the fact's own. */
const UUID = /[0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12}/
const HOUR_MS = 3_600_000
/** Who was not heard of for so long, and is not in the hospital, concerns nobody here [h]. Design rule. */
const TOUCHED_HOURS = 72
/** Nobody stays so long without a word of the census, an order or a treatment [h]. Design rule. */
const STAY_HOURS = 45 * 24
/** After so many facts it is loaded anew, so that those who have left do not stay in memory for ever. Design rule. */
const RENEW_AFTER = 100_000

/** Facts of the department, which count however old they are. */
export const LASTING = ['document-adopted', 'staff-recorded', 'shift-assigned', 'item-settled', 'feed-opened']

/** Since when patients count as live at an instant; see `Ledger.livePatients`. */
export function liveSince(ms: number): { readonly touchedSince: string; readonly hereSince: string } {
  const since = (hours: number) => new Date(ms - hours * HOUR_MS).toISOString()
  return { touchedSince: since(TOUCHED_HOURS), hereSince: since(STAY_HOURS) }
}

/**
 * The chart of what may still concern somebody: the patients who are in the hospital or of whom something came in during
 * the last 72 hours, each with all that was ever said of them; the department's documents and people; messages that
 * are not answered for, with the patients whom they name; and what else came in during those hours. So it stays as
 * large as the hospital, not as its history. It goes by the times of the ledger, not by the clock. `whole` takes
 * everything: for a command that looks back, on a ledger that fits into memory.
 */
export class LiveChart {
  readonly #ledger: Ledger
  readonly #facility: string
  readonly #whole: boolean
  #chart = new Chart()
  #patients = new Set<string>()
  #upTo = 0
  #loadedUpTo: number | null = null
  #turn: Promise<void> = Promise.resolve()

  constructor(ledger: Ledger, facility: string, extent: 'live' | 'whole' = 'live') {
    this.#ledger = ledger
    this.#facility = facility
    this.#whole = extent === 'whole'
  }

  /** The chart with everything live that is stored when it is asked for. One catch-up at a time, each with its own look. */
  now(): Promise<Chart> {
    return this.nowAbout([])
  }

  /** The same, and beside it each patient, of any year, whose id this is, or whose order, visit or fact has this id. */
  async nowAbout(ids: readonly string[]): Promise<Chart> {
    const turn = this.#turn.then(async () => {
      await this.#catchUp()
      if (!this.#whole) for (const id of ids) await this.#addPatients(await this.#patientsOf(id))
    })
    this.#turn = turn.catch(() => undefined)
    await turn
    return this.#chart
  }

  async #patientsOf(id: string): Promise<string[]> {
    const [ledger, facility] = [this.#ledger, this.#facility]
    const found = [
      ...(await ledger.aboutAny(facility, 'order', [id])),
      ...(await ledger.aboutAny(facility, 'visit', [id])),
      (await ledger.entryOfFact(facility, UUID.exec(id)?.[0] ?? id)) ?? [],
    ].flat()
    return [id, ...factsOf(found.slice(0, 1)).facts.flatMap(({ about }) => about.patientId ?? [])]
  }

  async #catchUp(): Promise<void> {
    const isOld = this.#loadedUpTo !== null && this.#upTo - this.#loadedUpTo > RENEW_AFTER
    if (!this.#whole && (this.#loadedUpTo === null || isOld)) await this.#load()
    while (true) {
      const entries = await this.#ledger.after(this.#facility, this.#upTo, PAGE)
      if (!this.#whole) await this.#bringIn(entries)
      this.#add(entries)
      this.#upTo = entries.at(-1)?.sequence ?? this.#upTo
      if (entries.length < PAGE) return
    }
  }

  /** Loads what is live up to the last entry that there is now. */
  async #load(): Promise<void> {
    const [ledger, facility] = [this.#ledger, this.#facility]
    const upTo = await ledger.last(facility)
    const [last] = await ledger.after(facility, upTo - 1, 1)
    const endMs = Date.parse(last?.receivedAt ?? new Date(0).toISOString())
    const { touchedSince, hereSince } = liveSince(endMs)
    this.#chart = new Chart()
    this.#patients = new Set()
    await this.#addPatients(await ledger.livePatients(facility, { touchedSince, hereSince }))
    this.#add(await ledger.ofKinds(facility, LASTING))
    this.#add(await ledger.ofNobody(facility, await ledger.lastBefore(facility, touchedSince)))
    await this.#addMessages(await ledger.openMessages(facility))
    this.#upTo = upTo
    this.#loadedUpTo = upTo
  }

  /** Before a fact about somebody is added, all that was said of them before: a chart knows a patient whole or not. */
  async #bringIn(entries: readonly LedgerEntry[]): Promise<void> {
    const { facts } = factsOf(entries)
    await this.#addPatients(facts.flatMap(({ about }) => about.patientId ?? []))
    const answered = facts.flatMap(({ kind, about }) =>
      kind === 'message-answered' && about.messageId !== undefined ? about.messageId : [],
    )
    await this.#addMessages(answered.filter((id) => !this.#chart.outgoing(id)))
  }

  /** All that was said of some messages, and of the patients whom they name. */
  async #addMessages(ids: readonly string[]): Promise<void> {
    const entries = await this.#ledger.underAny(this.#facility, 'message', ids)
    await this.#addPatients(factsOf(entries).facts.flatMap(({ about }) => about.patientId ?? []))
    this.#add(entries)
  }

  async #addPatients(ids: readonly string[]): Promise<void> {
    const missing = [...new Set(ids)].filter((id) => !this.#patients.has(id))
    if (missing.length === 0) return
    this.#add(await wholePatients(this.#ledger, this.#facility, missing))
    for (const id of missing) this.#patients.add(id)
  }

  #add(entries: readonly LedgerEntry[]): void {
    const { facts, aheadMs } = factsOf(entries)
    this.#chart.add(facts, aheadMs)
  }
}
