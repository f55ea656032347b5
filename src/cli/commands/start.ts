import { randomBytes } from 'node:crypto'
import { existsSync } from 'node:fs'
import { chmod, readFile, writeFile } from 'node:fs/promises'
import { dirname, join } from 'node:path'
import { fileURLToPath } from 'node:url'
import pino from 'pino'
import { DEMO_SIGN_INS, seedDemo } from '../../demo/seed.ts'
import { buildServer } from '../../server/build-server.ts'
import { HospitalProvider } from '../../server/hospital-provider.ts'
import { readFeeds } from '../../server/mllp/feed-settings.ts'
import { type ReadyFeeds, readCertificates } from '../../server/mllp/read-certificates.ts'
import { People } from '../../server/people.ts'
import { isPostgres } from '../../store/database.ts'
import { type Command, EXIT, type Terminal, UsageError } from '../command.ts'
import { openDoor, openLedger } from '../open.ts'
import { readSettings, SETTINGS_OPTIONS, type Settings } from '../settings.ts'

/** Session ends after so much idleness, and for good after so long (NIST SP 800-63B-4, 2.2.3, made shorter for a ward). */
const [IDLE_MINUTES, LONGEST_HOURS] = [60, 13]

/** Serves the app until it is told to stop. */
export const start: Command = {
  name: 'start',
  purpose: 'serve the app',
  words: '',
  help: `Serves the web app and its API until SIGINT or SIGTERM, then closes in good order.

  --demo               begins with the invented hospital when the ledger is empty
  --data FOLDER        where the embedded ledger lies (DATA, default: data)
  --database ADDRESS   a file, or postgres://… (DATABASE)
  --facility NAME      which hospital this is (FACILITY, default: marrowby)
  --host, --port       where to listen (HOST, default 127.0.0.1; PORT, default 8080; 0 takes a free one)
  --feeds FILE         lines to other systems, HL7 v2 over MLLP (FEEDS; docs/department.md describes the file)

PUBLIC_URL=https://… behind TLS; SECRET=… (32 characters or more) signs sessions, otherwise one is made and kept in DATA.
OIDC_ISSUER, OIDC_CLIENT_ID, OIDC_CLIENT_SECRET, OIDC_CLAIM, OIDC_NAME: the hospital's own sign-in (docs/department.md).`,
  options: {
    ...SETTINGS_OPTIONS,
    host: { type: 'string' },
    port: { type: 'string' },
    feeds: { type: 'string' },
    demo: { type: 'boolean' },
  },
  run: async (given, terminal) => {
    const settings = readSettings(given, process.env)
    const feeds = settings.feeds === null ? null : await feedsOf(settings.feeds, terminal)
    const { open, ledger } = await openLedger(settings, terminal.nowMs, false)
    const baseUrl = settings.publicUrl ?? `http://${settings.host}:${settings.port}`
    const secret = settings.secret ?? (await keptSecret(settings))
    const people = await People.open(
      open,
      { secret, baseUrl, idleMinutes: IDLE_MINUTES, longestHours: LONGEST_HOURS },
      terminal.nowMs,
    )
    const isDemo = given.flag('demo')
    if (isDemo && (await ledger.last(settings.facility)) === 0)
      await seedDemo({
        ledger,
        people,
        facility: settings.facility,
        nowMs: terminal.nowMs(),
        doorAt: (nowMs, bytes) => openDoor(settings.facility, nowMs, bytes),
      })
    const stopListening = await ledger.listen()
    const app = await buildServer({
      ledger,
      people,
      facility: settings.facility,
      door: openDoor(settings.facility, terminal.nowMs, randomBytes),
      nowMs: terminal.nowMs,
      appFolder: appFolder(),
      secure: baseUrl.startsWith('https:'),
      hospital:
        settings.hospital &&
        new HospitalProvider(
          { ...settings.hospital, secret, callback: `${baseUrl}/api/hospital-sign-in/done` },
          terminal.nowMs,
        ),
      ...(settings.publicUrl !== null && { publicUrl: settings.publicUrl }),
      ...(feeds !== null && {
        feeds: { ...feeds, listening: (port: number) => terminal.out(`Messages are taken on port ${port}`) },
      }),
      logger: pino({ level: settings.logLevel }),
    })
    const address = await app.listen({ host: settings.host, port: settings.port })
    tellAddress(address, isDemo, terminal)
    await untilToldToStop()
    await app.close()
    await stopListening()
    await ledger.close()
    return EXIT.ok
  },
}

function tellAddress(address: string, isDemo: boolean, terminal: Terminal): void {
  terminal.out(`Mistwright is at ${address}`)
  if (!isDemo) return
  terminal.out('The hospital, its staff and its patients are invented. Sign in as:')
  for (const { personId, role, name, password } of DEMO_SIGN_INS)
    terminal.out(`  ${personId.padEnd(11)} ${password}   ${role}, ${name}`)
}

/** The lines to other systems. What is unsafe is said, not forbidden: the network may be a closed one. */
async function feedsOf(path: string, terminal: Terminal): Promise<ReadyFeeds> {
  const text = await terminal.readFile(path).catch(() => {
    throw new UsageError(`The file of feeds, ${path}, cannot be read.`)
  })
  const read = readFeeds(text.toString('utf8'))
  if (!read.ok) throw new UsageError(`${path}: ${read.what}`)
  for (const warning of read.warnings) terminal.err(warning)
  return readCertificates(read.feeds)
}

/** The built app lies beside the built server. */
function appFolder(): string | null {
  const folder = join(dirname(fileURLToPath(import.meta.url)), '..', 'app')
  return existsSync(folder) ? folder : null
}

/** A secret made once and kept beside the data, readable by its owner alone. On PostgreSQL it must be set. */
async function keptSecret({ database }: Settings): Promise<string> {
  if (isPostgres(database))
    throw new Error('SECRET must be set, the same for every server process on this database')
  const path = join(dirname(database), 'secret')
  if (existsSync(path)) return (await readFile(path, 'utf8')).trim()
  const secret = randomBytes(32).toString('hex')
  await writeFile(path, `${secret}\n`, { mode: 0o600 })
  await chmod(path, 0o600)
  return secret
}

function untilToldToStop(): Promise<void> {
  return new Promise((resolve) => {
    process.once('SIGINT', () => resolve())
    process.once('SIGTERM', () => resolve())
  })
}
