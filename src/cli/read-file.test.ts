import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, describe, expect, it } from 'vitest'
import { readNamedFile } from './read-file.ts'

const folder = mkdtempSync(join(tmpdir(), 'mistwright-read-'))
afterAll(() => rmSync(folder, { recursive: true }))

describe('a file that a command was given', () => {
  it('is read as it is', async () => {
    const path = join(folder, 'shift.json')
    writeFileSync(path, 'any\n')
    expect((await readNamedFile(path)).toString()).toBe('any\n')
  })
  it.each([
    ['missing.json', 'there is no such file'],
    ['.', 'it is a folder, not a file'],
  ])('%s: is refused with why and what to do', async (name, why) => {
    const path = join(folder, name)
    await expect(readNamedFile(path)).rejects.toThrow(
      `${path} cannot be read: ${why}. Nothing was changed; check the name and the folder, and ask again.`,
    )
  })
})
