import { randomBytes } from 'node:crypto'
import { decodeMessage } from '../../exchange/hl7/decode-message.ts'
import { Intake } from '../../server/intake.ts'
import { OnDemand } from '../../server/on-demand.ts'
import { type Command, EXIT, UsageError } from '../command.ts'
import { openDoor, openLedger } from '../open.ts'
import { readSettings, SETTINGS_OPTIONS } from '../settings.ts'

/** Takes messages, order lists or bundles from files, as the Settle screen and a live feed do. */
export const receive: Command = {
  name: 'receive',
  purpose: 'take HL7 v2 messages, an order list or a FHIR bundle; print each answer and the facts it made',
  words: 'FILE…',
  help: `A file may hold one message, several, or MLLP frames; a name that ends in .csv is an order list
(docs/order-list.md), one that ends in .json a FHIR R4 bundle (docs/department.md).
Each message is kept whole and answered. One that came before changes nothing and gets its first answer again.
Exit code 1 when any of them was not accepted.

  --data FOLDER        where the ledger lies (default: data), or --database ADDRESS
  --json               answers as JSON`,
  options: { ...SETTINGS_OPTIONS, json: { type: 'boolean' } },
  run: async (given, terminal) => {
    if (given.words.length === 0) throw new UsageError('receive needs at least one FILE')
    const settings = readSettings(given, process.env)
    const texts = await Promise.all(
      given.words.map(async (path) => ({ path, text: textOf(path, await terminal.readFile(path)) })),
    )
    const { ledger } = await openLedger(settings, terminal.nowMs, false)
    const { facility } = settings
    const door = openDoor(facility, terminal.nowMs, randomBytes)
    const intake = new Intake({
      ledger,
      facility,
      record: new OnDemand(ledger, facility),
      nowMs: terminal.nowMs,
    })
    const answers = []
    try {
      for (const { path, text } of texts) {
        const channel = channelOf(path)
        const taken = await intake.take((known) => door.receive(channel, text, known))
        answers.push(...taken.map((answer) => ({ file: path, ...answer })))
      }
    } finally {
      await ledger.close()
    }
    if (given.flag('json')) terminal.out(JSON.stringify(answers, null, 2))
    else for (const answer of answers) terminal.out(sentence(answer))
    return answers.every(({ code, problems }) => (code === 'AA' || code === null) && problems.length === 0)
      ? EXIT.ok
      : EXIT.no
  },
}

function channelOf(path: string): 'hl7v2' | 'csv' | 'fhir' {
  const name = path.toLowerCase()
  return name.endsWith('.csv') ? 'csv' : name.endsWith('.json') ? 'fhir' : 'hl7v2'
}

/** The text of a file by the character set that its message declares. @throws Error when it cannot be decoded */
function textOf(path: string, bytes: Uint8Array): string {
  const decoded = channelOf(path) === 'fhir' ? decodeUtf8(bytes) : decodeMessage(bytes)
  if (decoded.ok) return decoded.text
  throw new Error(`${path}: ${decoded.what}. Nothing was taken from any file.`)
}

/** JSON is UTF-8 (RFC 8259, section 8.1). */
function decodeUtf8(bytes: Uint8Array): { ok: true; text: string } | { ok: false; what: string } {
  try {
    return { ok: true, text: new TextDecoder('utf-8', { fatal: true }).decode(bytes) }
  } catch {
    return { ok: false, what: 'it is not text in UTF-8' }
  }
}

type Told = {
  readonly file: string
  readonly type: string | null
  readonly code: string | null
  readonly text: string | null
  readonly replayed: boolean
  readonly made: readonly { readonly id: string; readonly kind: string }[]
  readonly problems: readonly { readonly where: string; readonly code: string; readonly what: string }[]
}

function sentence({ file, type, code, text, replayed, made, problems }: Told): string {
  const came = replayed
    ? 'came before: the first answer again, nothing made'
    : made.length === 0
      ? 'nothing made'
      : `made ${made.map(({ kind, id }) => `${kind} ${id}`).join(', ')}`
  const lines = [`${file}: ${type ?? 'no type'}: ${code ?? 'not answered'}; ${came}`]
  for (const problem of problems) lines.push(`  ${problem.code} ${problem.where}: ${problem.what}`)
  if (text && !text.startsWith('{'))
    lines.push(
      ...text
        .split('\r')
        .filter(Boolean)
        .map((line) => `  ${line}`),
    )
  return lines.join('\n')
}
