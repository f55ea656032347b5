import type { KeepDatabase } from './keep-database.ts'
import type { Safe, Sealed } from './safe.ts'

const NOTE = 'naming'
const HMAC = { name: 'HMAC', hash: 'SHA-256' }
const utf8 = (text: string) => new TextEncoder().encode(text)

/**
 * What patients are called on this disk. Every window of the browser comes to the same name, and without the person's key
 * nobody can find out whose it is, however few record numbers there are to try: HMAC (RFC 2104) of the patient's id under
 * a key that is kept sealed.
 */
export class PatientNames {
  readonly #key: CryptoKey
  readonly #names = new Map<string, string>()
  private constructor(key: CryptoKey) {
    this.#key = key
  }

  static async open(db: KeepDatabase, safe: Safe): Promise<PatientNames> {
    const drawn = await safe.seal([...crypto.getRandomValues(new Uint8Array(32))], NOTE)
    const kept = await db.transaction('rw', db.notes, async () => {
      const known = await db.notes.get(NOTE)
      if (!known) await db.notes.put({ key: NOTE, value: drawn })
      return (known?.value ?? drawn) as Sealed
    })
    const bytes = Uint8Array.from((await safe.open(kept, NOTE)) as number[])
    return new PatientNames(await crypto.subtle.importKey('raw', bytes, HMAC, false, ['sign']))
  }

  async of(patientId: string): Promise<string> {
    const known = this.#names.get(patientId)
    if (known !== undefined) return known
    const signed = new Uint8Array(await crypto.subtle.sign('HMAC', this.#key, utf8(patientId)))
    const name = [...signed.subarray(0, 16)].map((byte) => byte.toString(16).padStart(2, '0')).join('')
    this.#names.set(patientId, name)
    return name
  }
}
