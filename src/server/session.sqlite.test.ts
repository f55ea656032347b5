import { sessionSuite } from '../../test/support/session-suite.ts'

sessionSuite('SQLite', async () => undefined)
