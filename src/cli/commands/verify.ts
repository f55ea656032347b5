import type { ChainReport } from '../../chart/chain.ts'
import { firstBrokenNote } from '../../store/access-log.ts'
import { verifyLedger } from '../../store/verify.ts'
import { type Command, EXIT, type Terminal } from '../command.ts'
import { openLedger } from '../open.ts'
import { readSettings, SETTINGS_OPTIONS } from '../settings.ts'

const NOTES_AT_ONCE = 2000

/** Re-computes the hash chain of every facility. */
export const verify: Command = {
  name: 'verify',
  purpose: 're-compute the hash chain and name the first broken link',
  words: '',
  help: `Walks every entry, and every note of who looked at what, from the first and computes its hash anew; then holds what
searches go by against the entries. Exit code 1 when something does not hold.

  --data FOLDER        where the ledger lies, or --database ADDRESS
  --json               the report as JSON`,
  options: { ...SETTINGS_OPTIONS, json: { type: 'boolean' } },
  run: async (given, terminal) => {
    const { ledger } = await openLedger(readSettings(given, process.env), terminal.nowMs, true)
    try {
      const reports: Report[] = []
      for (const facility of await ledger.facilities()) {
        const chain = await verifyLedger(ledger, facility)
        reports.push({
          facility,
          ...chain,
          accessBrokenAt: await firstBrokenNote((after) =>
            ledger.accessAfter(facility, after, NOTES_AT_ONCE),
          ),
          // Of entries that do not hold nobody can say where they belong.
          misfiled: chain.kind === 'whole' ? await ledger.misfiled(facility) : null,
        })
      }
      if (given.flag('json')) terminal.out(JSON.stringify(reports, null, 2))
      else if (reports.length === 0) terminal.out('The ledger is empty: there is nothing to verify.')
      else for (const report of reports) tell(report, terminal)
      const hold = reports.every(
        ({ kind, accessBrokenAt, misfiled }) =>
          kind === 'whole' && accessBrokenAt === null && misfiled === null,
      )
      return hold ? EXIT.ok : EXIT.no
    } finally {
      await ledger.close()
    }
  },
}

type Report = ChainReport & {
  readonly facility: string
  readonly accessBrokenAt: number | null
  readonly misfiled: string | null
}

function tell(report: Report, terminal: Terminal): void {
  terminal.out(
    report.kind === 'whole'
      ? `${report.facility}: whole. ${report.entries} entries; last hash ${report.lastHash}.`
      : `${report.facility}: BROKEN at entry ${report.sequence} (fact ${report.factId}): ${report.why}. The ${report.entries - 1} before it hold.`,
  )
  if (report.accessBrokenAt !== null)
    terminal.out(`${report.facility}: the access log is BROKEN at note ${report.accessBrokenAt}.`)
  if (report.misfiled !== null)
    terminal.out(
      `${report.facility}: MISFILED, so that searches go wrong: ${report.misfiled}. The record itself is not touched by this; \`mistwright migrate --file-anew\` makes the filing anew from it.`,
    )
}
