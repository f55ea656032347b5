import { openDatabase } from '../../store/database.ts'
import { CannotMove, lookBeforeMove, type Moved, moveLedger } from '../../store/move.ts'
import { migrate, stepsToDo } from '../../store/steps.ts'
import { type Command, EXIT, type Terminal, UsageError } from '../command.ts'
import { isFileMissing, readSettings, SETTINGS_OPTIONS } from '../settings.ts'

/** Moves a ledger from SQLite to PostgreSQL. */
export const move: Command = {
  name: 'move',
  purpose: 'move a ledger from SQLite to an empty PostgreSQL database, and prove it; --dry-run only looks',
  words: '',
  help: `Stop the server first. Carries every fact, the access log, people, sessions and the secrets of tablets, reads
everything back, compares it to the letter and computes each chain anew. It is one transaction: a move that is cut off
leaves the new database empty, and is begun again with the same words. Afterwards the file takes no more facts; keep it.

  --data FOLDER        where the SQLite ledger lies, or --database FILE
  --to ADDRESS         postgres://…, as the role that owns the tables
  --dry-run            verifies the chains, says what would be moved and what stands in the way; changes nothing`,
  options: { ...SETTINGS_OPTIONS, to: { type: 'string' }, 'dry-run': { type: 'boolean' } },
  run: async (given, terminal) => {
    const { database } = readSettings(given, process.env)
    const address = given.text('to')
    if (address === undefined) throw new UsageError('move needs --to postgres://…')
    if (isFileMissing(database))
      throw new Error(`there is no ledger at ${database}; name its folder with --data`)
    const [from, to] = [openDatabase(database), openDatabase(address)]
    try {
      const { carries, arrived } = await lookBeforeMove(from, to)
      if (given.flag('dry-run')) {
        const missing = await stepsToDo(to.db)
        tell(arrived ? 'Was moved already' : 'Would move', carries, terminal)
        terminal.out(`The new database would get ${missing.length} steps of the schema. Nothing was changed.`)
        return EXIT.ok
      }
      await migrate(to.db, to.kind, new Date(terminal.nowMs()).toISOString())
      tell('Moved and verified', await moveLedger(from, to), terminal)
      terminal.out(
        'Start servers with the new address and the same SECRET. The file takes no more facts; keep it.',
      )
      return EXIT.ok
    } catch (error) {
      if (!(error instanceof CannotMove)) throw error
      terminal.err(`Nothing was moved: ${error.message}.`)
      return EXIT.no
    } finally {
      await Promise.all([from.db.destroy(), to.db.destroy()])
    }
  },
}

function tell(what: string, { facilities, rows }: Moved, terminal: Terminal): void {
  for (const { facility, entries, lastHash } of facilities) {
    terminal.out(`${what}: ${facility}, ${entries} entries; last hash ${lastHash}.`)
  }
  const counts = Object.entries(rows).map(([table, count]) => `${table} ${count}`)
  terminal.out(`${what}, rows: ${counts.join(', ')}.`)
}
