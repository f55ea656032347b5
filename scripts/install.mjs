import { spawnSync } from 'node:child_process'
import { hashOf, stampIs, writeStamp } from './stamp.mjs'

/**
 * Installs from the lock file when it, or the Node release, differs from what was installed last. `run` leaves the
 * test tools out, which keeps the first start short; `all` brings them. An `all` install serves `run` too.
 */
export async function install(what) {
  const lock = hashOf(['package-lock.json', 'package.json'], process.versions.modules)
  const stamp = (kind) => `node_modules/.mistwright-${kind}`
  if (stampIs(stamp('all'), lock) || (what === 'run' && stampIs(stamp('run'), lock))) return
  console.log(what === 'run' ? 'Installing what the program needs …' : 'Installing, test tools included …')
  const args = [
    'ci',
    what === 'run' ? '--omit=dev' : '--include=dev',
    '--no-audit',
    '--no-fund',
    '--loglevel=error',
  ]
  const npm = process.platform === 'win32' ? 'npm.cmd' : 'npm'
  const { status, error } = spawnSync(npm, args, { stdio: 'inherit' })
  if (error || status !== 0) {
    console.error(
      `Installing failed${error ? `: ${error.message}` : ''}. Nothing was started. Check that the package source can be reached, then run the same command again.`,
    )
    process.exit(1)
  }
  writeStamp(stamp(what), lock)
}
