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
    // Every fact goes through here several times: one pass, no lists of pairs. Without an argument sort goes by code units.
    let members = ''
    for (const key of Object.keys(value).sort()) {
      const member = (value as Record<string, unknown>)[key]
      if (member === undefined) continue
      if (members !== '') members += ','
      members += `${JSON.stringify(key)}:${canonicalJson(member)}`
    }
    return `{${members}}`
  }
  throw new TypeError(`a ${typeof value} has no place in JSON`)
}
