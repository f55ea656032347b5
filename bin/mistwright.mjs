#!/usr/bin/env node
/** The command line. In a clone that is not built yet, installs and builds first (messages go to standard error). */
import { existsSync } from 'node:fs'
import { dirname, join } from 'node:path'
import { fileURLToPath, pathToFileURL } from 'node:url'

const root = join(dirname(fileURLToPath(import.meta.url)), '..')
const program = join(root, 'dist/cli/mistwright.js')
if (!existsSync(program)) {
  const here = process.cwd()
  console.log = console.error
  process.chdir(root)
  const { install } = await import('../scripts/install.mjs')
  const { buildIfStale } = await import('../scripts/build.mjs')
  await install('run')
  await buildIfStale()
  process.chdir(here)
}
await import(pathToFileURL(program).href)
