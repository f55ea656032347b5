import { config } from 'zod'

// A script that a test puts into the page may evaluate text, while what it does later may not: so it must never try.
// Imported before any schema is made.
config({ jitless: true })
