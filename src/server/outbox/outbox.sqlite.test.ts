import { mkdtempSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { outboxSuite } from '../../../test/support/outbox-suite.ts'

outboxSuite('SQLite', async () => join(mkdtempSync(join(tmpdir(), 'mistwright-')), 'm.db'))
