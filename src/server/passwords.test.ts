import { describe, expect, it } from 'vitest'
import { hashSecret, passwordProblem, pinProblem, secretMatches } from './passwords.ts'
import { waitAfterTries } from './tries.ts'

describe('passwords (NIST SP 800-63B-4, 3.1.1.2)', () => {
  it.each(['fourteen signs', 'ßßßßßßßßßßßßßß', ''])(
    'refuses %j, which is shorter than 15 characters',
    (password) => {
      expect(passwordProblem(password)).toContain('at least 15')
    },
  )
  it('takes 15 characters, spaces and any script, and 64 and more, uncut', async () => {
    expect(passwordProblem('seven herons go')).toBeNull()
    expect(passwordProblem('семь цапель и лодка')).toBeNull()
    expect(passwordProblem('🦩🪁🧭🪵🫖🧦🪶🛶🪺🧩🪞🧵🪜🫧🪗')).toBeNull()
    const long = `${'lanterns by the river, '.repeat(3)}and one more boat`
    expect(long.length).toBeGreaterThan(64)
    expect(passwordProblem(long)).toBeNull()
    const stored = await hashSecret(long)
    expect(await secretMatches(stored, long)).toBe(true)
    expect(await secretMatches(stored, long.slice(0, -1))).toBe(false)
  })
  it.each([
    'passwordpassword',
    'Password12345678!',
    'qwertyuiopasdfghjkl',
    '123456789012345',
    'aaaaaaaaaaaaaaaaaa',
    'abcabcabcabcabcabc',
    'Summer Summer 2026',
    'correct horse battery staple',
    'mistwright hospital 1',
  ])('refuses %j, which would be tried early', (password) => {
    expect(passwordProblem(password)).toContain('first that would be tried')
  })
  it('refuses what is made of the name and the hospital', () => {
    expect(passwordProblem('Amsel@Larkmere-2026', ['amsel', 'larkmere'])).toContain(
      'first that would be tried',
    )
    expect(passwordProblem('Amsel@Larkmere-2026')).toBeNull()
  })
  it('hashes with argon2id, each time with another salt', async () => {
    const [one, two] = await Promise.all([hashSecret('seven herons go'), hashSecret('seven herons go')])
    expect(one).toMatch(/^\$argon2id\$v=19\$m=19456,t=2,p=1\$/)
    expect(one).not.toBe(two)
  })
})

describe('PINs', () => {
  it.each(['284617', '90210442', '112233445566'])('takes %s', (pin) => expect(pinProblem(pin)).toBeNull())
  it.each(['000000', '123456', '876543', '121212', '123123'])('refuses %s', (pin) => {
    expect(pinProblem(pin)).toContain('first that would be tried')
  })
})

it('lets five wrong passwords pass, then doubles the wait up to a quarter of an hour, and stops at a hundred', () => {
  const seconds = [0, 4, 5, 6, 7, 14, 15, 99, 100].map((tries) => {
    const wait = waitAfterTries(tries)
    return wait === null ? null : wait / 1000
  })
  expect(seconds).toEqual([0, 0, 1, 2, 4, 512, 900, 900, null])
})
