import { documentsInForce } from '../../chart/documents/documents-in-force.ts'
import { fullName } from '../../chart/folds/patient.ts'
import { placeText } from '../../chart/handover.ts'
import { assumptionWords, notPlannedWords, problemOf, restOfShift } from '../../shift/index.ts'
import { type Command, EXIT, UsageError } from '../command.ts'
import { openLedger } from '../open.ts'
import { readSettings, SETTINGS_OPTIONS } from '../settings.ts'

/** Writes the rest of the shift as a planning problem. */
export const problem: Command = {
  name: 'problem',
  purpose: 'write the rest of the shift as a problem file for round',
  words: '',
  help: `Reads the record and writes what is still to be given in the present shift, by whom it can be, and from where everybody
is now, in the published planning format on standard output: mistwright problem > now.json; mistwright round now.json
Patients and orders stand in it by their pseudonyms. What cannot be planned is named on standard error, with the reason.
Pinned visits have no place in the format.

  --at INSTANT         for example 2026-03-10T12:00:00.000Z (default: now)
  --data FOLDER        where the ledger lies, or --database ADDRESS`,
  options: { ...SETTINGS_OPTIONS, at: { type: 'string' } },
  run: async (given, terminal) => {
    const settings = readSettings(given, process.env)
    const said = given.text('at')
    const atMs = said === undefined ? terminal.nowMs() : Date.parse(said)
    if (!Number.isFinite(atMs)) throw new UsageError('--at must be an instant')
    const now = new Date(atMs).toISOString()
    const { ledger, chart: live } = await openLedger(settings, terminal.nowMs, true)
    try {
      const chart = await live.now()
      const { documents } = documentsInForce(chart.facts(), now)
      const found = problemOf({ chart, documents, now })
      for (const each of found.notPlanned)
        terminal.err(
          `Not planned: ${placeText(chart.patient(each.patientId))}, ${each.title}. ${notPlannedWords(each, (instant) => instant)}`,
        )
      const nameOf = (id: string) => chart.person(id)?.name ?? (fullName(chart.patient(id)) || id)
      for (const assumption of found.assumed) terminal.err(`Assumed: ${assumptionWords(assumption, nameOf)}`)
      terminal.out(JSON.stringify(restOfShift(found), null, 1))
      return EXIT.ok
    } finally {
      await ledger.close()
    }
  },
}
