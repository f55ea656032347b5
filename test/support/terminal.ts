import { type Command, type Exit, readGiven } from '../../src/cli/command.ts'
import { readNamedFile } from '../../src/cli/read-file.ts'

/** Runs a command in this process, as the command line does, and gives its exit code and all that it said. */
export async function runCommand(
  command: Command,
  words: readonly string[],
  { nowMs = () => Date.now(), stdin = '' } = {},
): Promise<{ readonly exit: Exit; readonly said: string }> {
  const said: string[] = []
  const exit = await command.run(readGiven(words, command.options), {
    out: (text) => said.push(text),
    err: (text) => said.push(text),
    readStdin: async () => stdin,
    readFile: readNamedFile,
    nowMs,
  })
  return { exit, said: said.join('\n') }
}
