import { reviewAgainstChart } from '../chart/bedside/review.ts'
import { documentsInForce } from '../chart/documents/documents-in-force.ts'
import { formularyInForce } from '../chart/documents/formulary-in-force.ts'
import { MEDICINE_CODES } from '../chart/documents/medicine-codes.ts'
import { siteTimeZone } from '../chart/documents/site-time-zone.ts'
import type { Chart } from '../chart/folds/chart.ts'
import { uuidv7 } from '../chart/ids.ts'
import type { Writer } from '../chart/registry.ts'
import { Door } from '../exchange/receive.ts'
import { LiveChart } from '../server/live-chart.ts'
import { type OpenDatabase, openDatabase } from '../store/database.ts'
import { Ledger } from '../store/ledger.ts'
import { isMovedAway } from '../store/move.ts'
import { migrate, stepsToDo } from '../store/steps.ts'
import { isFileMissing, type Settings } from './settings.ts'

/** A ledger that is open and up to date. */
export type OpenLedger = { readonly open: OpenDatabase; readonly ledger: Ledger; readonly chart: LiveChart }

/**
 * Opens the ledger of the settings. `mustExist` refuses to make a new one where there is none: a command that looks
 * must not find an empty ledger that it made itself.
 */
export async function openLedger(
  settings: Pick<Settings, 'database' | 'facility'>,
  nowMs: () => number,
  mustExist: boolean,
): Promise<OpenLedger> {
  if (mustExist && isFileMissing(settings.database)) {
    throw new Error(`there is no ledger at ${settings.database}; name its folder with --data`)
  }
  const open = openDatabase(settings.database)
  if (!mustExist && (await isMovedAway(open))) {
    await open.db.destroy()
    throw new Error(
      `the ledger at ${settings.database} was moved to a PostgreSQL database; nothing more is stored in it. Name that database with --database or DATABASE`,
    )
  }
  await upToDate(open, nowMs)
  const ledger = new Ledger(open)
  return { open, ledger, chart: new LiveChart(ledger, settings.facility, 'whole') }
}

/** Does the steps that are missing. A role that may only append (see docs/department.md) does none, and needs none. */
async function upToDate(open: OpenDatabase, nowMs: () => number): Promise<void> {
  const missing = await stepsToDo(open.db)
  if (missing.length === 0) return
  try {
    await migrate(open.db, open.kind, new Date(nowMs()).toISOString())
  } catch (error) {
    if (!isNotAllowed(error)) throw error
    const names = missing.map(({ name }) => name).join(', ')
    throw new Error(
      `the database lacks ${names}, and this role may not change its tables. Nothing was changed. Run "mistwright migrate" as the role that owns them`,
    )
  }
}

/** PostgreSQL, appendix A: 42501 is insufficient_privilege. */
const isNotAllowed = (error: unknown) =>
  typeof error === 'object' && error !== null && 'code' in error && error.code === '42501'

/** Writes facts on the program's own word. */
export function programWriter(
  facility: string,
  nowMs: () => number,
  randomBytes: (length: number) => Uint8Array,
): Writer {
  return {
    facility,
    by: { personId: 'mistwright', role: 'system' },
    device: 'server',
    newId: () => uuidv7({ nowMs, randomBytes }),
    nowMs,
  }
}

/** The door for messages and orders: written by the program itself, reviewed by the documents in force. */
export function openDoor(
  facility: string,
  nowMs: () => number,
  randomBytes: (length: number) => Uint8Array,
): Door {
  return new Door({
    writer: programWriter(facility, nowMs, randomBytes),
    timeZone: (chart) => siteTimeZone(chart, new Date(nowMs()).toISOString()),
    codes: (chart) => codesInForce(chart, new Date(nowMs()).toISOString()),
    review: (chart, patientId, orderId, order, at) =>
      reviewAgainstChart(formularyInForce(chart, at), chart, patientId, orderId, order, at),
  })
}

function codesInForce(chart: Chart, at: string) {
  return chart.adoptions('medicine-codes').length === 0
    ? MEDICINE_CODES.defaults
    : documentsInForce(chart.facts(), at).documents['medicine-codes'].content
}
