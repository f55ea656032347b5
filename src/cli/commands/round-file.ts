import { type Finding, readShift, type Shift, ShiftRefused, SolomonFormatError } from '../../rounds/index.ts'
import { EXIT, type Exit, type Given, type Terminal, UsageError } from '../command.ts'

/** The text of the one file that a command was given. */
export async function theFile(given: Given, terminal: Terminal): Promise<string> {
  const [file, ...more] = given.words
  if (file === undefined || more.length > 0) throw new UsageError('one FILE is needed')
  return (await terminal.readFile(file)).toString('utf8')
}

/** A file that is not what it should be: told sentence by sentence, exit code 1. */
class FileRefused extends Error {
  readonly sentences: readonly string[]
  constructor(sentences: readonly string[]) {
    super(sentences.join(' '))
    this.sentences = sentences
  }
}

/** The shift in a file's text, as it will be planned, and what was assumed. */
export function shiftIn(text: string): { readonly shift: Shift; readonly findings: readonly Finding[] } {
  return readShift(jsonIn(text))
}

/** A file's text as JSON. */
export function jsonIn(text: string): unknown {
  try {
    return JSON.parse(text)
  } catch (error) {
    throw new FileRefused([`It is not JSON: ${error instanceof Error ? error.message : error}.`])
  }
}

/** Runs a command on a file; what is wrong with the file is told in plain sentences, and nothing is planned. */
export async function onFile(terminal: Terminal, work: () => Promise<Exit>): Promise<Exit> {
  try {
    return await work()
  } catch (error) {
    const sentences = sentencesFor(error)
    if (sentences === null) throw error
    terminal.err(['The file cannot be planned; nothing was planned.', ...sentences].join('\n'))
    return EXIT.no
  }
}

function sentencesFor(error: unknown): readonly string[] | null {
  if (error instanceof FileRefused) return error.sentences
  if (error instanceof ShiftRefused) return error.findings.map(findingText)
  return error instanceof SolomonFormatError ? [`It is not a Solomon file: ${error.message}.`] : null
}

/** One finding as a sentence: where, what, and what follows. */
export function findingText({ where, message, consequence }: Finding): string {
  return `${where}: ${message} (${consequence}).`
}

/** A number option from 0 on. */
export function numberOf(given: Given, name: string, otherwise: number): number {
  const text = given.text(name)
  if (text === undefined) return otherwise
  const value = Number(text)
  if (text.trim() === '' || !(value >= 0 && Number.isFinite(value)))
    throw new UsageError(`--${name} must be a number from 0`)
  return value
}

/** The seed of the search: a whole number. */
export function seedOf(given: Given): number {
  const seed = numberOf(given, 'seed', 1)
  if (!Number.isInteger(seed)) throw new UsageError('--seed must be a whole number')
  return seed
}
