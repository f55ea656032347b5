import { scryptAsync } from '@noble/hashes/scrypt.js'
import { bytesToHex, hexToBytes, utf8ToBytes } from '@noble/hashes/utils.js'
import { z } from 'zod'

/** What lets this tablet check a PIN or password without the server: a salted hash, never the word itself. */
export const Verifier = z.strictObject({ salt: z.string(), hash: z.string() })
export type Verifier = z.infer<typeof Verifier>

/** scrypt with 32 MiB of memory, three lanes (OWASP Password Storage Cheat Sheet; from memory). */
const COST = { N: 2 ** 15, r: 8, p: 3, dkLen: 32 }

/** Makes a verifier. `randomBytes` gives the salt. Takes about half a second, in slices that let the screen move. */
export async function makeVerifier(
  word: string,
  randomBytes: (length: number) => Uint8Array,
): Promise<Verifier> {
  const salt = randomBytes(16)
  return { salt: bytesToHex(salt), hash: bytesToHex(await scryptAsync(utf8ToBytes(word), salt, COST)) }
}

/** Whether a word is the one that the verifier was made from. */
export async function verifies(word: string, { salt, hash }: Verifier): Promise<boolean> {
  const given = await scryptAsync(utf8ToBytes(word), hexToBytes(salt), COST)
  const kept = hexToBytes(hash)
  let differs = given.length ^ kept.length
  for (const [index, byte] of given.entries()) differs |= byte ^ (kept[index] ?? 0)
  return differs === 0
}

/** How long to wait after so many wrong tries without a network [ms]: none for two, then 5 s, doubled, to 5 min. */
export function waitAfterWrongMs(wrongTries: number): number {
  return wrongTries < 3 ? 0 : Math.min(300_000, 5000 * 2 ** (wrongTries - 3))
}
