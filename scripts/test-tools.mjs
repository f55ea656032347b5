import { spawnSync } from 'node:child_process'
import { existsSync, readdirSync } from 'node:fs'

/** A Chromium to drive: the one named in CHROMIUM, or where Debian puts it. */
function haveChromium() {
  return existsSync(process.env.CHROMIUM ?? '/usr/bin/chromium')
}

function havePostgres() {
  const root = '/usr/lib/postgresql'
  return (
    existsSync(root) && readdirSync(root).some((version) => existsSync(`${root}/${version}/bin/postgres`))
  )
}

/** What shows which system calls a program makes, and in which order. */
function haveStrace() {
  return existsSync('/usr/bin/strace')
}

const missingTools = () => [
  ...(haveChromium() ? [] : ['chromium']),
  ...(havePostgres() ? [] : ['postgresql']),
  ...(haveStrace() ? [] : ['strace']),
]

/**
 * Sees to it that the browser, the database server and the tracer which the tests drive are there: installs them from Debian
 * when they are absent and it may, and otherwise says in one sentence what to do.
 */
export async function ensureTestTools() {
  const missing = missingTools()
  if (missing.length === 0) return
  const mayInstall = process.getuid?.() === 0 && existsSync('/usr/bin/apt-get')
  if (!mayInstall) {
    console.error(
      `The tests drive a real browser and a real database server, and watch what reaches the disk. Missing: ${missing.join(', ')}. On Debian: sudo apt-get install ${missing.join(' ')} (or name a browser in CHROMIUM), then run npm test again.`,
    )
    process.exit(1)
  }
  console.log(`Installing ${missing.join(' and ')} from Debian for the tests …`)
  const quiet = {
    stdio: ['ignore', 'ignore', 'inherit'],
    env: { ...process.env, DEBIAN_FRONTEND: 'noninteractive' },
  }
  spawnSync('apt-get', ['update', '-qq'], quiet)
  spawnSync('apt-get', ['install', '-y', '-qq', '--no-install-recommends', ...missing], quiet)
  if (missingTools().length === 0) return
  console.error(
    `Installing ${missing.join(' and ')} did not work. Install by hand: apt-get install ${missing.join(' ')}`,
  )
  process.exit(1)
}
