import { EXIT, type Exit, readGiven, type Terminal, UsageError } from './command.ts'
import { COMMANDS } from './commands/index.ts'
import { readNamedFile } from './read-file.ts'

const HELP = `mistwright: a respiratory therapist's shift of nebulized treatments, from a terminal

  mistwright COMMAND [words] [options]      mistwright COMMAND --help

`
const CODES = `
Exit codes: 0 done; 1 done, and the answer is no (a message refused, a chain broken, an input that cannot be used);
2 the command's own words were wrong; 3 something outside failed (a file, a database, a port).`

/** Runs the command line and gives its exit code. Never prints a stack trace to a person. */
export async function main(args: readonly string[], terminal: Terminal): Promise<Exit> {
  const [name, ...rest] = args
  if (name === undefined || name === '--help' || name === 'help') {
    terminal.out(helpText())
    return name === undefined ? EXIT.usage : EXIT.ok
  }
  const command = COMMANDS.find((each) => each.name === name)
  if (!command) {
    terminal.err(`No command "${name}". mistwright --help names them.`)
    return EXIT.usage
  }
  try {
    const given = readGiven(rest, { ...command.options, help: { type: 'boolean', short: 'h' } })
    if (given.flag('help')) {
      terminal.out(`mistwright ${command.name} ${command.words}\n\n${command.help}`)
      return EXIT.ok
    }
    return await command.run(given, terminal)
  } catch (error) {
    return told(error, command.name, terminal)
  }
}

function told(error: unknown, command: string, terminal: Terminal): Exit {
  if (error instanceof UsageError) {
    terminal.err(`${error.message}. mistwright ${command} --help says how.`)
    return EXIT.usage
  }
  terminal.err(`${command} could not be done: ${error instanceof Error ? error.message : String(error)}`)
  return EXIT.failed
}

function helpText(): string {
  const width = Math.max(...COMMANDS.map(({ name, words }) => name.length + words.length + 1))
  const lines = COMMANDS.map(
    ({ name, words, purpose }) => `  ${`${name} ${words}`.padEnd(width)}  ${purpose}`,
  )
  return HELP + lines.join('\n') + CODES
}

const terminal: Terminal = {
  out: (text) => process.stdout.write(`${text}\n`),
  err: (text) => process.stderr.write(`${text}\n`),
  readStdin: async () => {
    const chunks: Buffer[] = []
    for await (const chunk of process.stdin) chunks.push(chunk as Buffer)
    return Buffer.concat(chunks).toString('utf8')
  },
  readFile: readNamedFile,
  nowMs: () => Date.now(),
}

process.exitCode = await main(process.argv.slice(2), terminal)
