import { openDatabase } from '../../store/database.ts'
import { fileAnew } from '../../store/finders.ts'
import { grantTo } from '../../store/grants.ts'
import { migrate, stepsToDo } from '../../store/steps.ts'
import { type Command, EXIT, UsageError } from '../command.ts'
import { readSettings, SETTINGS_OPTIONS } from '../settings.ts'

/** Brings the tables up to this version, or says what it would do. */
export const migrateTables: Command = {
  name: 'migrate',
  purpose: 'bring the tables up to this version; --dry-run only says what is missing',
  words: '',
  help: `Does every step that is missing, wholly or not at all. Make a backup first.

  --dry-run            names the steps and prints their statements; changes nothing; exit code 1 when any is missing
  --file-anew          throws away what searches go by and makes it anew from the entries, after \`verify\` found it wrong
  --grant-to ROLE      on PostgreSQL: lets ROLE read and append, and never change or delete an entry
  --data FOLDER        where the ledger lies, or --database ADDRESS`,
  options: {
    ...SETTINGS_OPTIONS,
    'dry-run': { type: 'boolean' },
    'file-anew': { type: 'boolean' },
    'grant-to': { type: 'string' },
  },
  run: async (given, terminal) => {
    const settings = readSettings(given, process.env)
    const role = given.text('grant-to')
    const open = openDatabase(settings.database)
    if (role !== undefined && open.kind !== 'postgres')
      throw new UsageError(
        '--grant-to is for PostgreSQL; an SQLite file belongs to the user who runs the program',
      )
    try {
      const missing = await stepsToDo(open.db)
      if (given.flag('dry-run')) {
        for (const { name, statements } of missing)
          terminal.out(`-- ${name}\n${statements[open.kind].map((statement) => `${statement};`).join('\n')}`)
        terminal.out(
          missing.length === 0
            ? '-- Nothing is missing.'
            : `-- ${missing.length} to do; nothing was changed.`,
        )
        return missing.length === 0 ? EXIT.ok : EXIT.no
      }
      const done = await migrate(open.db, open.kind, new Date(terminal.nowMs()).toISOString())
      terminal.out(done.length === 0 ? 'Nothing was missing.' : `Done: ${done.join(', ')}.`)
      if (given.flag('file-anew')) {
        await fileAnew(open.db)
        terminal.out('Filed anew.')
      }
      if (role !== undefined) {
        await grantTo(open.db, role)
        terminal.out(`${role} may read and append.`)
      }
      return EXIT.ok
    } finally {
      await open.db.destroy()
    }
  },
}
