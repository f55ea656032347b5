/**
 * One door for every npm command: installs what is missing, builds what is stale, then runs. Plain Node, no
 * dependency, so that it works on a fresh clone. Safe to run twice and to interrupt: a stamp is written only
 * after a step has ended well.
 */
import { spawn } from 'node:child_process'
import { buildIfStale } from './build.mjs'
import { install } from './install.mjs'
import { ensureTestTools } from './test-tools.mjs'

const [, , command = 'help', ...rest] = process.argv

const bin = (name) => ['node_modules/.bin/', name].join('')

/** Runs a child to its end, passing signals on, and gives its exit code. */
function run(program, args, env = {}) {
  return new Promise((resolve) => {
    const child = spawn(program, args, { stdio: 'inherit', env: { ...process.env, ...env } })
    const pass = (signal) => child.kill(signal)
    process.on('SIGINT', pass)
    process.on('SIGTERM', pass)
    child.on('error', (error) => {
      console.error(`Could not start ${program}: ${error.message}`)
      resolve(1)
    })
    child.on('exit', (code, signal) => resolve(code ?? (signal ? 130 : 1)))
  })
}

/** Runs steps one after the other and stops at the first that fails, naming it. */
async function inTurn(steps) {
  for (const [name, program, args] of steps) {
    console.log(`\n— ${name}`)
    const code = await run(program, args)
    if (code !== 0) {
      console.error(`\nStopped: ${name} failed (exit code ${code}). Nothing after it was run.`)
      return code
    }
  }
  return 0
}

/** What `npm run mutants -- PART` breaks on purpose, put to the tests of that part alone; without a part, all. */
const MUTANTS_OF = {
  dose: ['dose', 'continuous', 'mixture'].map((folder) => `src/clinical/medicine/${folder}/**/*.ts`),
  'lung-function': ['src/clinical/lung-function/**/*.ts'],
  'stop-rules': ['stop-rule*', 'judge-condition', 'condition', 'document', 'measures'].map(
    (file) => `src/clinical/assessment/${file}.ts`,
  ),
}

/** Bundles a program of ours in TypeScript and runs it; libraries stay outside it. */
async function runBundled(name, source) {
  const { build } = await import('vite')
  const output = { entryFileNames: 'main.js' }
  const how = { ssr: source, outDir: `dist/${name}`, emptyOutDir: true, rollupOptions: { output } }
  await build({ configFile: false, publicDir: false, logLevel: 'warn', build: { ...how, target: 'node20' } })
  return run(process.execPath, [`dist/${name}/main.js`, ...rest])
}

const commands = {
  async start() {
    await install('run')
    await buildIfStale()
    return run(process.execPath, ['dist/cli/mistwright.js', 'start', '--demo', ...rest])
  },
  async build() {
    await install('run')
    await buildIfStale()
    return 0
  },
  async test() {
    await install('all')
    await buildIfStale()
    await ensureTestTools()
    if (rest.length > 0) return run(bin('vitest'), ['run', ...rest])
    return inTurn([
      ['lint', bin('biome'), ['check', '--error-on-warnings', '.']],
      ['types', bin('tsc'), ['--noEmit']],
      ['layers', process.execPath, ['scripts/layers.mjs']],
      ['dead code', bin('knip'), []],
      ['tests', bin('vitest'), ['run', '--project', 'unit', '--project', 'browser']],
    ])
  },
  async bench() {
    await install('all')
    // The ledger's bench drives the built server, that of the dials the built app.
    if (['ledger', 'drag', 'thread'].includes(rest[0])) await buildIfStale()
    const built = await run(bin('vite'), ['build', '--config', 'bench/vite.config.ts', '--logLevel', 'warn'])
    return built === 0 ? run(process.execPath, ['dist/bench/main.js', ...rest]) : built
  },
  async torture() {
    await install('all')
    await buildIfStale()
    await ensureTestTools()
    return runBundled('torture', 'test/torture/main.ts')
  },
  async shots() {
    await install('all')
    await buildIfStale()
    await ensureTestTools()
    return run(bin('vitest'), ['run', '--project', 'shots', ...rest], { SHOTS: '1' })
  },
  async mutants() {
    await install('all')
    const [part, ...more] = rest
    const folders = MUTANTS_OF[part]
    if (!folders) return run(bin('stryker'), ['run', ...rest])
    const mutate = [...folders, '!src/**/*.test.ts', '!src/**/*.d.ts'].join(',')
    return run(bin('stryker'), ['run', '--mutate', mutate, ...more], { MUTANTS_OF: part })
  },
}

const chosen = commands[command]
if (!chosen) {
  console.error(`No command "${command}". There are: ${Object.keys(commands).join(', ')}.`)
  process.exit(2)
}
process.exit(await chosen())
