const KEPT_TEXTS = 4000
const texts = new Map<number, string>()

/**
 * An instant as UTC to the millisecond. Standard times make many doses share their instants, and writing them out
 * is the slowest part of a worklist: texts are kept.
 */
export function instant(ms: number): string {
  const kept = texts.get(ms)
  if (kept !== undefined) return kept
  if (texts.size >= KEPT_TEXTS) texts.clear()
  const text = new Date(ms).toISOString()
  texts.set(ms, text)
  return text
}
