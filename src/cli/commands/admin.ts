import { randomBytes, randomInt } from 'node:crypto'
import { writeFact } from '../../chart/registry.ts'
import { passwordProblem } from '../../server/passwords.ts'
import { People } from '../../server/people.ts'
import { type Command, EXIT, type Exit, type Given, type Terminal, UsageError } from '../command.ts'
import { type OpenLedger, openLedger, programWriter } from '../open.ts'
import { readSettings, SETTINGS_OPTIONS } from '../settings.ts'

/** What a name may be: it stands in signed facts and in the sign-in. */
const NAME = /^[a-z][a-z0-9.-]{1,40}$/

/** Gives a hospital its first administrator; all others are added from the app. */
export const admin: Command = {
  name: 'admin',
  purpose: 'give a hospital its first administrator, or an administrator a new password',
  words: 'add|password|list [NAME]',
  help: `  admin list               who may sign in, and as what
  admin add NAME           adds an administrator, who then adds everybody else in the app
  admin password NAME      gives somebody a new password and ends their sessions

Without --password-stdin a password is made and printed once.

  --full-name TEXT         the name that others see (default: NAME)
  --password-stdin         reads the password from standard input
  --data FOLDER            where the ledger lies (default: data), or --database ADDRESS
  --facility NAME          which hospital`,
  options: {
    ...SETTINGS_OPTIONS,
    'full-name': { type: 'string' },
    'password-stdin': { type: 'boolean' },
  },
  run: async (given, terminal) => {
    const { facility, ...settings } = readSettings(given, process.env)
    const [what, name] = given.words
    if (what !== 'list' && what !== 'add' && what !== 'password')
      throw new UsageError('admin needs add, password or list')
    const opened = await openLedger({ ...settings, facility }, terminal.nowMs, false)
    try {
      // Nobody is signed in by this command, so nothing is signed with this secret.
      const config = { secret: randomBytes(32).toString('hex'), baseUrl: 'http://127.0.0.1' }
      const people = await People.open(
        opened.open,
        { ...config, idleMinutes: 0, longestHours: 1 },
        terminal.nowMs,
      )
      if (what === 'list') return await listPeople(people, facility, terminal)
      if (name === undefined || !NAME.test(name))
        throw new UsageError('NAME must begin with a small letter and hold small letters, digits, . and -')
      const act = what === 'add' ? addAdministrator : givePassword
      return await act({ opened, people, facility, name, given, terminal })
    } finally {
      await opened.ledger.close()
    }
  },
}

type Asked = {
  readonly opened: OpenLedger
  readonly people: People
  readonly facility: string
  readonly name: string
  readonly given: Given
  readonly terminal: Terminal
}

async function listPeople(people: People, facility: string, terminal: Terminal): Promise<Exit> {
  const all = await people.list(facility)
  for (const { personId, role, name, active } of all)
    terminal.out(`${personId.padEnd(16)} ${role.padEnd(14)} ${name}${active ? '' : ' (let in no more)'}`)
  if (all.length === 0) terminal.out('Nobody may sign in yet. mistwright admin add NAME adds the first.')
  return EXIT.ok
}

async function addAdministrator({ opened, people, facility, name, given, terminal }: Asked): Promise<Exit> {
  if (await people.find(facility, name)) {
    terminal.err(`There is a ${name} already; nothing was changed.`)
    return EXIT.no
  }
  const password = await chosenPassword(given, terminal, [name, facility])
  if (password === null) return EXIT.no
  const fullName = given.text('full-name') ?? name
  const role = 'administrator' as const
  await people.add({ facility, personId: name, name: fullName, role, password: password.text })
  const writer = programWriter(facility, terminal.nowMs, (length) => new Uint8Array(randomBytes(length)))
  const body = { name: fullName, role, signedOffFor: [], active: true }
  const facts = [writeFact(writer, 'staff-recorded', { personId: name }, body)]
  const receivedAt = new Date(terminal.nowMs()).toISOString()
  await opened.ledger.append(facility, { facts, receivedAt, deviceAheadMs: null, together: true })
  await note(opened, facility, receivedAt, 'add person', name)
  terminal.out(`${name} may sign in as administrator of ${facility}.`)
  if (password.made) terminal.out(`The password, shown only now: ${password.text}`)
  return EXIT.ok
}

async function givePassword({ opened, people, facility, name, given, terminal }: Asked): Promise<Exit> {
  if (!(await people.find(facility, name))) {
    terminal.err(`There is nobody named ${name}; nothing was changed.`)
    return EXIT.no
  }
  const password = await chosenPassword(given, terminal, [name, facility])
  if (password === null) return EXIT.no
  await people.setPassword(facility, name, password.text)
  await note(opened, facility, new Date(terminal.nowMs()).toISOString(), 'give password', name)
  terminal.out(`${name} has a new password; their sessions have ended.`)
  if (password.made) terminal.out(`The password, shown only now: ${password.text}`)
  return EXIT.ok
}

function note(opened: OpenLedger, facility: string, at: string, what: string, about: string): Promise<void> {
  const entry = { facility, at, person_id: 'mistwright', what, about, request_id: 'terminal' }
  return opened.ledger.noteAccess(entry)
}

/** The password that was given, or one that is made; null, told, when the given one cannot be taken. */
async function chosenPassword(
  given: Given,
  terminal: Terminal,
  own: readonly string[],
): Promise<{ readonly text: string; readonly made: boolean } | null> {
  if (!given.flag('password-stdin')) return { text: madePassword(), made: true }
  const text = (await terminal.readStdin()).replace(/\r?\n$/, '')
  const problem = passwordProblem(text, own)
  if (problem === null) return { text, made: false }
  terminal.err(`${problem} Nothing was changed.`)
  return null
}

/** No letters or digits that are taken for one another. */
const SIGNS = 'abcdefghjkmnpqrstuvwxyz23456789'

/** Five groups of five signs: 31^25, about 123 bits. */
function madePassword(): string {
  const group = () => Array.from({ length: 5 }, () => SIGNS[randomInt(SIGNS.length)]).join('')
  return Array.from({ length: 5 }, group).join('-')
}
