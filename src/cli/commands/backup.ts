import { backupKind, copyInto, restoreFile } from '../../store/backup.ts'
import { isPostgres } from '../../store/database.ts'
import { dumpInto, restoreDump } from '../../store/dump.ts'
import { type Command, EXIT, type Given, UsageError } from '../command.ts'
import { openLedger } from '../open.ts'
import { readSettings, SETTINGS_OPTIONS } from '../settings.ts'
import { verify } from './verify.ts'

/** Copies the ledger while it is in use. */
export const backup: Command = {
  name: 'backup',
  purpose: 'copy the ledger, with everybody who may sign in, into a new file while it is in use',
  words: 'FILE',
  help: `Writes a whole copy as of one instant. Of SQLite it is a ledger that verify reads; of PostgreSQL a dump by pg_dump.

  --data FOLDER        where the ledger lies, or --database ADDRESS`,
  options: SETTINGS_OPTIONS,
  run: async (given, terminal) => {
    const file = fileOf(given, 'backup needs the FILE to write')
    const { database } = readSettings(given, process.env)
    const { open, ledger } = await openLedger(readSettings(given, process.env), terminal.nowMs, true)
    try {
      if (open.kind === 'postgres') await dumpInto(database, file)
      else await copyInto(open.db, file)
    } finally {
      await ledger.close()
    }
    const check =
      open.kind === 'postgres' ? `restore ${file} --database postgres://…` : `verify --database ${file}`
    terminal.out(`Copied to ${file}. Check it with: mistwright ${check}`)
    return EXIT.ok
  },
}

/** Brings a backup back to where a server will find it, and verifies it there. */
export const restore: Command = {
  name: 'restore',
  purpose: 'bring a backup back to a place that is empty, and verify it there',
  words: 'FILE',
  help: `Takes what backup wrote and puts it into a folder or a PostgreSQL database that holds no ledger yet, wholly or not
at all; then computes every chain anew. Exit code 1 when one does not hold.

  --data FOLDER        where the ledger is to lie, or --database ADDRESS`,
  options: SETTINGS_OPTIONS,
  run: async (given, terminal) => {
    const file = fileOf(given, 'restore needs the FILE that backup wrote')
    const { database } = readSettings(given, process.env)
    const kind = backupKind(file)
    if (kind === null) throw new UsageError(`${file} is no backup of a ledger`)
    if ((kind === 'postgres') !== isPostgres(database)) {
      throw new UsageError(
        `${file} is a backup of ${kind === 'postgres' ? 'PostgreSQL' : 'SQLite'}; name such a place`,
      )
    }
    if (kind === 'postgres') await restoreDump(file, database)
    else await restoreFile(file, database)
    terminal.out(`Restored to ${kind === 'postgres' ? 'the database' : database}.`)
    return verify.run(given, terminal)
  },
}

function fileOf(given: Given, otherwise: string): string {
  const [file] = given.words
  if (file === undefined) throw new UsageError(otherwise)
  return file
}
