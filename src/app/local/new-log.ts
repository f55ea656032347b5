import type { KeepDatabase } from './keep-database.ts'

/** Rows that say nothing: more in all than one log of the browser's store takes, by a margin. Found by trying. */
const ROWS = 72
const ROW_BYTES = 60_000
/** Rows in one transaction, so that the page can answer a touch between two. */
const AT_ONCE = 8

/**
 * Makes the browser begin a new log of its store. Chromium's goes on writing into the log that it finds; when it was
 * killed in the middle of a record, it can be opened once more, but whatever is written after the torn record cannot be
 * read the next time, and then it begins with an empty store. So a battery that dies twice would take everything with it
 * that waits to be sent. Found by tearing the end of a log by hand (Chromium on Linux); other stores lose nothing by it.
 * A disk that has no room for this may still have room for a fact: nothing is thrown.
 */
export async function beginNewLog(db: KeepDatabase): Promise<void> {
  const keys = Array.from({ length: ROWS }, (_, at) => `says nothing ${at}`)
  try {
    for (let from = 0; from < ROWS; from += AT_ONCE) {
      await db.notes.bulkPut(
        keys.slice(from, from + AT_ONCE).map((key) => ({
          key,
          // Random, because what repeats itself would be pressed small.
          value: crypto.getRandomValues(new Uint8Array(ROW_BYTES)),
        })),
      )
    }
  } catch {
    // As above.
  }
  await db.notes.bulkDelete(keys).catch(() => undefined)
}
