import { aheadOfTheDoor } from '../../chart/bedside/at-the-door.ts'
import { documentsInForce } from '../../chart/documents/documents-in-force.ts'
import { formularyFrom } from '../../chart/documents/formulary-in-force.ts'
import { type Dose, dosesWithStatus, dueDoses } from '../../chart/folds/doses.ts'
import { termsAt } from '../../chart/folds/order.ts'
import { placeText } from '../../chart/handover.ts'
import { type Command, EXIT, UsageError } from '../command.ts'
import { openLedger } from '../open.ts'
import { readSettings, SETTINGS_OPTIONS } from '../settings.ts'

const HOUR_MS = 3_600_000

/** What falls due, for one order or the whole hospital. */
export const due: Command = {
  name: 'due',
  purpose: 'say what falls due when, for an order or the hospital',
  words: '[ORDER-NUMBER]',
  help: `Doses from now on, with window, what became of them so far, and what formulary and chart say against those still to
be given, by the department's documents in force.

  --from INSTANT       for example 2026-03-10T12:00:00.000Z (default: now)
  --hours N            how far to look (default: 12)
  --data FOLDER        where the ledger lies, or --database ADDRESS
  --json               as JSON`,
  options: {
    ...SETTINGS_OPTIONS,
    from: { type: 'string' },
    hours: { type: 'string' },
    json: { type: 'boolean' },
  },
  run: async (given, terminal) => {
    const settings = readSettings(given, process.env)
    const fromMs = given.text('from') === undefined ? terminal.nowMs() : Date.parse(given.text('from') ?? '')
    const hours = Number(given.text('hours') ?? 12)
    if (!Number.isFinite(fromMs)) throw new UsageError('--from must be an instant')
    if (!(hours > 0 && hours <= 24 * 31)) throw new UsageError('--hours must be above 0 and at most 744')
    const { ledger, chart: live } = await openLedger(settings, terminal.nowMs, true)
    try {
      const chart = await live.now()
      const now = new Date(terminal.nowMs()).toISOString()
      const { documents } = documentsInForce(chart.facts(), now)
      const rules = {
        standardTimes: documents['standard-times'].content,
        windows: documents.windows.content,
        timeZone: documents.site.content.timeZone,
      }
      const all = dueDoses(
        chart,
        rules,
        new Date(fromMs).toISOString(),
        new Date(fromMs + hours * HOUR_MS).toISOString(),
      )
      const cautionsOf = (dose: Dose) => {
        const { status } = dose
        const order = chart.order(dose.orderId)
        if (order === null || status === 'given' || status === 'not given') return []
        const sources = { formulary: formularyFrom(documents), codes: documents['medicine-codes'].content }
        const isAhead = dose.doseAt > now
        return aheadOfTheDoor(chart, order, sources, isAhead ? dose.doseAt : now, dose)
      }
      const placer = given.words[0]
      const doses = dosesWithStatus(chart, all, now).filter(({ orderId, doseAt }) => {
        const order = chart.order(orderId)
        return placer === undefined || (order !== null && termsAt(order, doseAt).placer === placer)
      })
      const told = doses.map((dose) => ({ ...dose, cautions: cautionsOf(dose) }))
      if (given.flag('json'))
        terminal.out(
          JSON.stringify(
            told.map(({ visit: _, working: _working, ...dose }) => dose),
            null,
            2,
          ),
        )
      else
        for (const dose of told) {
          const patient = chart.patient(dose.patientId)
          terminal.out(
            `${dose.doseAt}  ${dose.window.earliest.slice(11, 16)}–${dose.window.onTimeUntil.slice(11, 16)}  ${placeText(patient)}  ${dose.title}  ${dose.status}`,
          )
          for (const { severity, what } of dose.cautions) terminal.out(`    ${severity}: ${what}`)
        }
      return EXIT.ok
    } finally {
      await ledger.close()
    }
  },
}
