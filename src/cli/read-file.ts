import { readFile } from 'node:fs/promises'

/** Why a file cannot be read, by the system's code (POSIX.1-2017, errno.h), in words. */
const WHY: Readonly<Record<string, string>> = {
  ENOENT: 'there is no such file',
  ENOTDIR: 'there is no such folder',
  EISDIR: 'it is a folder, not a file',
  EACCES: 'this account may not read it',
  EPERM: 'this account may not read it',
}

/**
 * The bytes of a file that a person named.
 * @throws Error that says which file, why it cannot be read and what to do
 */
export async function readNamedFile(path: string): Promise<Buffer> {
  try {
    return await readFile(path)
  } catch (error) {
    const { code = '', message } = error as NodeJS.ErrnoException
    throw new Error(
      `${path} cannot be read: ${WHY[code] ?? message}. Nothing was changed; check the name and the folder, and ask again.`,
    )
  }
}
