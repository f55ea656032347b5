import { createHash } from 'node:crypto'
import { existsSync, mkdirSync, readdirSync, readFileSync, statSync, writeFileSync } from 'node:fs'
import { dirname, join } from 'node:path'

/** SHA-256 over the names and contents of files and folders, so that a step is repeated only when its input changed. */
export function hashOf(paths, extra = '') {
  const hash = createHash('sha256').update(extra)
  for (const path of paths.flatMap(filesUnder).sort())
    hash.update(path).update('\0').update(readFileSync(path))
  return hash.digest('hex')
}

function filesUnder(path) {
  if (!existsSync(path)) return []
  if (statSync(path).isFile()) return [path]
  return readdirSync(path).flatMap((name) => filesUnder(join(path, name)))
}

export function stampIs(file, value) {
  return existsSync(file) && readFileSync(file, 'utf8') === value
}

export function writeStamp(file, value) {
  mkdirSync(dirname(file), { recursive: true })
  writeFileSync(file, value)
}
