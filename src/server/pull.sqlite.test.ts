import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll } from 'vitest'
import { pullSuite } from '../../test/support/pull-suite.ts'

const folder = mkdtempSync(join(tmpdir(), 'mistwright-'))
afterAll(() => rmSync(folder, { recursive: true, force: true }))
let made = 0

pullSuite('SQLite', async () => {
  made += 1
  return join(folder, `${made}.db`)
})
