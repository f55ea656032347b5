import { z } from 'zod'
import type { Calculation } from '../../clinical/calculation.ts'
import { loadFormulary } from '../../clinical/medicine/index.ts'
import { BadInput } from '../../clinical/worked.ts'
import { type Answer, answer, fault } from '../answer.ts'
import { CALCULATIONS, calculationsBy } from '../calculations.ts'
import { type Command, EXIT, type Exit, type Given, type Terminal, UsageError } from '../command.ts'

/** Does a calculation by name: one JSON object or an array in, results in the same order out, errors in place. */
export const work: Command = {
  name: 'work',
  purpose: 'do a calculation by name, JSON in and out',
  words: 'NAME [FILE]',
  help: `Reads one JSON object, or an array of them, from FILE or standard input, and writes the result, or an array of
results in the same order. An input that cannot be used gives {"error": {…}} in its place and exit code 1.

  --formulary FILE                       a formulary document in place of the program's own

  mistwright work --list                 names every calculation, with its purpose
  mistwright work --list --json          the same with the JSON schema of each input
  echo '{"kind":"percent-to-mg-per-mL","percent_w_v":0.5}' | mistwright work dose --working`,
  options: {
    list: { type: 'boolean' },
    working: { type: 'boolean' },
    json: { type: 'boolean' },
    formulary: { type: 'string' },
  },
  run: async (given, terminal) => (given.flag('list') ? list(given, terminal) : calculate(given, terminal)),
}

function list(given: Given, terminal: Terminal): Exit {
  if (given.flag('json')) {
    const all = CALCULATIONS.map(({ name, purpose, input }) => ({ name, purpose, input: schemaOf(input) }))
    terminal.out(JSON.stringify(all, null, 2))
  } else {
    const width = Math.max(...CALCULATIONS.map(({ name }) => name.length))
    for (const { name, purpose } of CALCULATIONS) terminal.out(`${name.padEnd(width)}  ${purpose}`)
  }
  return EXIT.ok
}

function schemaOf(input: z.ZodType): unknown {
  return z.toJSONSchema(input, { io: 'input', unrepresentable: 'any' })
}

async function calculate(given: Given, terminal: Terminal): Promise<Exit> {
  const [name, file, ...more] = given.words
  if (name === undefined) throw new UsageError('work needs the name of a calculation; --list names them')
  if (more.length > 0) throw new UsageError('work takes one FILE')
  const calculation = (await inUse(given, terminal)).find((each) => each.name === name)
  if (!calculation) throw new UsageError(`no calculation is called ${name}; work --list names them`)
  const text =
    file === undefined ? await terminal.readStdin() : (await terminal.readFile(file)).toString('utf8')
  const input = parsed(text)
  let exit: Exit = EXIT.ok
  const answers = (Array.isArray(input) ? input : [input]).map((each): Answer => {
    try {
      const told = answer(calculation, each, given.flag('working'))
      if ('error' in told && exit === EXIT.ok) exit = EXIT.no
      return told
    } catch (error) {
      exit = EXIT.failed
      return fault(error)
    }
  })
  terminal.out(JSON.stringify(Array.isArray(input) ? answers : answers[0], null, 2))
  return exit
}

/** The calculations by the formulary of the file that was named, or by the program's own. */
async function inUse(given: Given, terminal: Terminal): Promise<readonly Calculation[]> {
  const file = given.text('formulary')
  if (file === undefined) return CALCULATIONS
  const document = parsed((await terminal.readFile(file)).toString('utf8'))
  try {
    return calculationsBy(loadFormulary(document))
  } catch (error) {
    if (!(error instanceof BadInput)) throw error
    throw new UsageError(`${file} cannot be used: ${error.message}`)
  }
}

function parsed(text: string): unknown {
  try {
    return JSON.parse(text)
  } catch (error) {
    throw new UsageError(`the input is not JSON: ${error instanceof Error ? error.message : error}`)
  }
}
