import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, expect, it } from 'vitest'
import { runCommand } from '../../../test/support/terminal.ts'
import { testServer } from '../../../test/support/test-server.ts'
import { admin } from './admin.ts'

const folder = mkdtempSync(join(tmpdir(), 'mistwright-admin-'))
const database = join(folder, 'ledger.db')
const here = ['--database', database, '--facility', 'larkmere']
afterAll(() => rmSync(folder, { recursive: true, force: true }))

it('gives an empty hospital its first administrator, who can sign in and add others', async () => {
  expect(await runCommand(admin, ['list', ...here])).toMatchObject({ exit: 0 })
  const added = await runCommand(admin, ['add', 'keeper', '--full-name', 'Ida Vance', ...here])
  expect(added).toMatchObject({ exit: 0 })
  const password = added.said.split(': ').at(-1) ?? ''
  expect(password).toMatch(/^([a-z2-9]{5}-){4}[a-z2-9]{5}$/)
  const server = await testServer({ address: database, staff: [] })
  const cookie = await server.signIn('keeper', password)
  expect((await server.get('/api/me', cookie)).json()).toMatchObject({
    name: 'Ida Vance',
    role: 'administrator',
    facility: 'larkmere',
  })
  const learner = { personId: 'wren', name: 'Wren Oakes', role: 'learner', signedOffFor: [] }
  const reply = await server.post('/api/people', cookie, {
    ...learner,
    password: 'seven herons over the weir',
  })
  expect(reply.statusCode).toBe(200)
  const [first] = await server.ledger.after('larkmere', 0, 1)
  expect(JSON.parse(first?.text ?? '')).toMatchObject({
    kind: 'staff-recorded',
    about: { personId: 'keeper' },
    by: { role: 'system' },
  })
  await server.close()
})

it('changes nothing for a name that is taken, a weak password or a name that cannot be', async () => {
  expect(await runCommand(admin, ['add', 'keeper', ...here])).toMatchObject({ exit: 1 })
  const weak = await runCommand(admin, ['add', 'second', '--password-stdin', ...here], {
    stdin: 'larkmere\n',
  })
  expect(weak).toMatchObject({ exit: 1, said: expect.stringContaining('Nothing was changed') })
  await expect(runCommand(admin, ['add', 'No Good', ...here])).rejects.toThrow(/NAME must begin/)
  expect((await runCommand(admin, ['list', ...here])).said).not.toContain('second')
})

it('gives a new password and ends the sessions of the old', async () => {
  const given = (stdin: string) =>
    runCommand(admin, ['password', 'keeper', '--password-stdin', ...here], { stdin })
  expect(await given('herons keep the weir\n')).toMatchObject({ exit: 0 })
  const server = await testServer({ address: database, staff: [] })
  const cookie = await server.signIn('keeper', 'herons keep the weir')
  expect(await given('other herons keep the weir')).toMatchObject({ exit: 0 })
  expect((await server.get('/api/me', cookie)).statusCode).toBe(401)
  expect((await runCommand(admin, ['password', 'nobody', ...here])).exit).toBe(1)
  await server.close()
})
