/** A length of time on a clock face: `6:50`, `0:07`, `65:00`. Parts of a second are dropped [ms in]. */
export function minutesSeconds(ms: number): string {
  const seconds = Math.max(0, Math.floor(ms / 1000))
  return `${Math.floor(seconds / 60)}:${String(seconds % 60).padStart(2, '0')}`
}

/** The same for reading out: `6 minutes 50 seconds`, `1 minute`, `7 seconds` [ms in]. */
export function minutesInWords(ms: number): string {
  const seconds = Math.max(0, Math.floor(ms / 1000))
  const [whole, rest] = [Math.floor(seconds / 60), seconds % 60]
  const parts = [
    ...(whole > 0 ? [count(whole, 'minute')] : []),
    ...(rest > 0 || whole === 0 ? [count(rest, 'second')] : []),
  ]
  return parts.join(' ')
}

/** `1 minute`, `2 minutes`; the plural may be given where it is not made by an s. */
export function count(number: number, one: string, many = `${one}s`): string {
  return `${number} ${number === 1 ? one : many}`
}
