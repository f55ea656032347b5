import { hash, verify } from '@node-rs/argon2'
import common from './common-passwords.table.json' with { type: 'json' }
import { Problem } from './problem.ts'

/**
 * Least length of a password that is the only factor, and the most that is taken (NIST SP 800-63B-4, 3.1.1.2: 15 and
 * at least 64; no rules of composition, nothing cut off).
 */
export const PASSWORD_LENGTH = { least: 15, most: 256 } as const

/** Signs of one's own that a password must bring besides words from the list. Design rule. */
const OWN_SIGNS = 6

/**
 * Why a new password cannot be taken; null when it can. `own` are words that anybody would try for this person: the
 * name and the hospital. A password is looked at as made of words from the list, of `own`, and of what is left.
 */
export function passwordProblem(password: string, own: readonly string[] = []): string | null {
  const signs = [...password].length
  if (signs < PASSWORD_LENGTH.least)
    return `A password needs at least ${PASSWORD_LENGTH.least} characters; a few words in a row will do.`
  if (password.length > PASSWORD_LENGTH.most) return `At most ${PASSWORD_LENGTH.most} characters are taken.`
  return isGuessable(password.toLowerCase(), own)
    ? 'That password is among the first that would be tried. Choose other words.'
    : null
}

function isGuessable(password: string, own: readonly string[]): boolean {
  const bare = password.replace(/[\s\p{P}$+<=>^`|~]/gu, '')
  if (/^(.{1,8}?)\1+$/su.test(password)) return true
  let left = bare
  // Longest first, so that a word inside another does not leave the other's ends behind.
  const words = [...common.words, ...own.map((word) => word.toLowerCase())]
  for (const word of words.toSorted((a, b) => b.length - a.length)) left = left.replaceAll(word, '')
  return new Set(left).size < 2 || [...left].length < OWN_SIGNS
}

/** @throws Problem 400 when a new password cannot be taken */
export function requireGoodPassword(password: string, own: readonly string[]): void {
  const problem = passwordProblem(password, own)
  if (problem !== null)
    throw new Problem(400, 'weak-password', { what: problem, todo: 'Choose another password.' })
}

/** Why a PIN cannot be taken; null when it can. A PIN only unlocks a session that a password began. */
export function pinProblem(pin: string): string | null {
  const steps = new Set([...pin].slice(1).map((digit, index) => Number(digit) - Number(pin[index])))
  const isRow = steps.size === 1 && [0, 1, -1].includes([...steps][0] ?? 2)
  if (isRow) return 'A row of the same or of following digits is the first that would be tried.'
  return /^(\d{2,3})\1+$/.test(pin)
    ? 'The same few digits over again are among the first that would be tried.'
    : null
}

/** Argon2id with the library's defaults (19 MiB, 2 passes), which OWASP names as a minimum. */
export function hashSecret(secret: string): Promise<string> {
  return hash(secret)
}

/** Compares in the time that hashing takes, whatever the secret. */
export function secretMatches(stored: string, secret: string): Promise<boolean> {
  return verify(stored, secret)
}
