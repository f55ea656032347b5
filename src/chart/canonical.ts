/**
 * JSON with one spelling: keys sorted by UTF-16 code units, no blanks, numbers as ECMAScript writes them
 * (RFC 8785, JSON Canonicalization Scheme). Hashes are taken over this text.
 * @throws TypeError for what JSON cannot hold: NaN, infinities, undefined in an array, functions
 */
export function canonicalJson(value: unknown): string {
  if (typeof value === 'string') return quoted(value)
  if (value === null || typeof value === 'boolean') return String(value)
  if (typeof value === 'number') {
    if (!Number.isFinite(value)) throw new TypeError(`${value} has no place in JSON`)
    return String(value)
  }
  if (Array.isArray(value)) return `[${value.map(canonicalJson).join(',')}]`
  if (typeof value === 'object') {
    // Every fact goes through here several times: one pass, no lists of pairs.
    let members = ''
    for (const key of sortedKeys(value)) {
      const member = (value as Record<string, unknown>)[key]
      if (member === undefined) continue
      if (members !== '') members += ','
      members += `${quoted(key)}:${canonicalJson(member)}`
    }
    return `{${members}}`
  }
  throw new TypeError(`a ${typeof value} has no place in JSON`)
}

/** A string as JSON writes it. Most hold nothing that is written otherwise, and looking is cheaper than writing. */
function quoted(text: string): string {
  return /["\\\p{Cc}\p{Surrogate}]/u.test(text) ? JSON.stringify(text) : `"${text}"`
}

/** The keys by UTF-16 code units, as sort goes without an argument; most objects that come here have them so. */
function sortedKeys(value: object): string[] {
  const keys = Object.keys(value)
  for (let at = 1; at < keys.length; at += 1) {
    if ((keys[at - 1] ?? '') > (keys[at] ?? '')) return keys.sort()
  }
  return keys
}
