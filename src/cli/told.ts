/** As much of a value as fits into a sentence; what is longer is told by its beginning and its length. */
const LONGEST = 200

/** A value that came in, as an answer tells it back: no infinity, which JSON would turn into null, and no page of text. */
export function told(given: unknown): unknown {
  if (typeof given === 'number') return Number.isFinite(given) ? given : String(given)
  if (typeof given === 'string') return toldText(given)
  if (given === null || typeof given !== 'object') return given
  const text = JSON.stringify(given)
  return text.length <= LONGEST ? given : toldText(text)
}

/** The same as text, for a sentence; what is not there is missing. */
export function toldInWords(given: unknown): string {
  return given === undefined ? 'missing' : toldText(String(given))
}

/** A text, cut after its beginning when nobody would read it to the end. */
export function toldText(text: string): string {
  if (text.length <= LONGEST) return text
  return `${text.slice(0, LONGEST / 2)}… (${text.length} characters)`
}
