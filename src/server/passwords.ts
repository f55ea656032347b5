import { hash, verify } from '@node-rs/argon2'

/**
 * Least length of a password that is the only factor, and the most that is taken (NIST SP 800-63B-4, 3.1.1.2: 15 and
 * at least 64; no rules of composition, nothing cut off).
 */
export const PASSWORD_LENGTH = { least: 15, most: 256 } as const

/** Words that nobody may choose: common ones, and those of the house. Compared without case. From memory. */
const COMMON = [
  'password',
  'passwort',
  '123456',
  'qwerty',
  'letmein',
  'welcome',
  'iloveyou',
  'mistwright',
  'hospital',
]

/** Why a new password cannot be taken; null when it can. */
export function passwordProblem(password: string): string | null {
  if (password.length < PASSWORD_LENGTH.least)
    return `A password needs at least ${PASSWORD_LENGTH.least} characters; a few words in a row will do.`
  if (password.length > PASSWORD_LENGTH.most) return `At most ${PASSWORD_LENGTH.most} characters are taken.`
  const bare = password.toLowerCase().replace(/[^a-z0-9]/g, '')
  const guessable = COMMON.some((word) => bare.replaceAll(word, '').length < 6) || /^(.)\1*$/.test(bare)
  return guessable ? 'That password is among the first that would be tried. Choose other words.' : null
}

/** Why a PIN cannot be taken; null when it can. A PIN only unlocks a session that a password began. */
export function pinProblem(pin: string): string | null {
  const steps = new Set([...pin].slice(1).map((digit, index) => Number(digit) - Number(pin[index])))
  const isRow = steps.size === 1 && [0, 1, -1].includes([...steps][0] ?? 2)
  return isRow ? 'A row of the same or of following digits is the first that would be tried.' : null
}

/** Argon2id with the library's defaults (19 MiB, 2 passes), which OWASP names as a minimum. */
export function hashSecret(secret: string): Promise<string> {
  return hash(secret)
}

/** Compares in the time that hashing takes, whatever the secret. */
export function secretMatches(stored: string, secret: string): Promise<boolean> {
  return verify(stored, secret)
}
