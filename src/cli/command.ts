import { type ParseArgsConfig, parseArgs } from 'node:util'

/** What a command reads from and writes to; tests give their own. */
export type Terminal = {
  readonly out: (text: string) => void
  readonly err: (text: string) => void
  readonly readStdin: () => Promise<string>
  readonly readFile: (path: string) => Promise<Buffer>
  readonly nowMs: () => number
}

/** How a command ended. Documented in `mistwright --help`. */
export const EXIT = {
  ok: 0,
  /** The command ran, and the answer is no: a message refused, a chain broken, a calculation that could not be done. */
  no: 1,
  /** The command's own words were wrong. */
  usage: 2,
  /** Something outside failed: a file, a database, a port. */
  failed: 3,
} as const
export type Exit = (typeof EXIT)[keyof typeof EXIT]

export type Options = NonNullable<ParseArgsConfig['options']>

/** One command of the command line. */
export type Command = {
  readonly name: string
  /** One line for the list of commands. */
  readonly purpose: string
  /** What follows the name, for example `FILE…`. */
  readonly words: string
  readonly help: string
  readonly options: Options
  readonly run: (given: Given, terminal: Terminal) => Promise<Exit>
}

export type Given = {
  readonly words: readonly string[]
  readonly flag: (name: string) => boolean
  readonly text: (name: string) => string | undefined
}

/** A mistake in the words of a command: told in one sentence, exit code 2. */
export class UsageError extends Error {}

/**
 * Reads a command's words and options.
 * @throws UsageError for an unknown option or one without its value
 */
export function readGiven(args: readonly string[], options: Options): Given {
  try {
    const { values, positionals } = parseArgs({
      args: [...args],
      options,
      allowPositionals: true,
      strict: true,
    })
    const read = values as Record<string, string | boolean | undefined>
    return {
      words: positionals,
      flag: (name) => read[name] === true,
      text: (name) => (typeof read[name] === 'string' ? read[name] : undefined),
    }
  } catch (error) {
    throw new UsageError(error instanceof Error ? error.message : String(error))
  }
}
