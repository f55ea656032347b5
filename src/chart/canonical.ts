/**
 * JSON with one spelling: keys sorted by UTF-16 code units, no blanks, numbers as ECMAScript writes them
 * (RFC 8785, JSON Canonicalization Scheme). Hashes are taken over this text.
 * @throws TypeError for what JSON cannot hold: NaN, infinities, undefined in an array, functions
 */
export function canonicalJson(value: unknown): string {
  if (value === null || typeof value === 'boolean' || typeof value === 'string') return JSON.stringify(value)
  if (typeof value === 'number') {
    if (!Number.isFinite(value)) throw new TypeError(`${value} has no place in JSON`)
    return JSON.stringify(value)
  }
  if (Array.isArray(value)) return `[${value.map(canonicalJson).join(',')}]`
  if (typeof value === 'object') {
    const members = Object.entries(value)
      .filter(([, member]) => member !== undefined)
      .sort(([a], [b]) => (a < b ? -1 : a > b ? 1 : 0))
      .map(([key, member]) => `${JSON.stringify(key)}:${canonicalJson(member)}`)
    return `{${members.join(',')}}`
  }
  throw new TypeError(`a ${typeof value} has no place in JSON`)
}
