import { hashOf, stampIs, writeStamp } from './stamp.mjs'

const INPUTS = ['src', 'vite.config.ts', 'vite.server.config.ts', 'package-lock.json', 'tsconfig.json']
const STAMP = 'dist/.stamp'

/** Builds the web app and the server with the command line, when a source differs from what was built last. */
export async function buildIfStale() {
  const inputs = hashOf(INPUTS)
  if (stampIs(STAMP, inputs)) return
  console.log('Building …')
  const { build } = await import('vite')
  try {
    await build({ configFile: 'vite.config.ts', logLevel: 'warn' })
    await build({ configFile: 'vite.server.config.ts', logLevel: 'warn' })
  } catch (error) {
    console.error(`The build failed: ${error instanceof Error ? error.message : error}`)
    process.exit(1)
  }
  writeStamp(STAMP, inputs)
}
