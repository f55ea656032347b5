import { SITE } from '../../src/chart/documents/site.ts'
import { zoneOf } from '../../src/chart/timing/zone.ts'

/** The hour at which every test finds the invented hospital: in the middle of a day shift, whatever the hour outside. */
const MINUTE_OF_DAY = 10 * 60 + 40
const MINUTES_A_DAY = 24 * 60

/**
 * How far the hospital's clock, on its server and on its tablets, runs ahead of this machine's [ms].
 * The demo's shift depends on the hour, and a test that finds a patient due must find the same at noon and at night.
 */
export const CLOCK_AHEAD_MS = aheadOf(Date.now())

function aheadOf(nowMs: number): number {
  const { minute } = zoneOf(SITE.defaults.timeZone).wallAt(nowMs)
  return ((MINUTE_OF_DAY - minute + MINUTES_A_DAY) % MINUTES_A_DAY) * 60_000
}

/** A script for a page, run before its own: its clock goes as the hospital's does. */
export const clockScript = `(() => {
  const TrueDate = Date
  globalThis.Date = class extends TrueDate {
    constructor(...words) {
      if (words.length === 0) super(TrueDate.now() + ${CLOCK_AHEAD_MS})
      else super(...words)
    }
    static now() { return TrueDate.now() + ${CLOCK_AHEAD_MS} }
  }
})()`
