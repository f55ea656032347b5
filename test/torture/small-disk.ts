import { execFileSync, spawnSync } from 'node:child_process'
import { closeSync, mkdirSync, openSync, rmSync, writeSync } from 'node:fs'
import { join } from 'node:path'
import { childrenOf } from '../support/postgres-server.ts'

const CHUNK = Buffer.alloc(65_536)

/**
 * A disk that can be full. Where this user may mount, a file system in memory that a ballast file fills to the last
 * byte; elsewhere a limit on the size of any file that the given processes write (setrlimit RLIMIT_FSIZE).
 */
export class SmallDisk {
  readonly folder: string
  readonly how: 'file system' | 'file size limit'
  #limited: number[] = []

  constructor(folder: string, megabytes: number) {
    mkdirSync(folder, { recursive: true })
    this.folder = folder
    const mounted = spawnSync('mount', ['-t', 'tmpfs', '-o', `size=${megabytes}m`, 'tmpfs', folder])
    this.how = mounted.status === 0 ? 'file system' : 'file size limit'
  }

  get #ballast(): string {
    return join(this.folder, 'ballast')
  }

  /** Nothing more can be written, by anybody, or by the processes named and their children. */
  fill(pids: readonly number[]): void {
    if (this.how === 'file size limit') {
      this.#limited = pids.filter((pid) => pid > 0).flatMap((pid) => [pid, ...childrenOf(pid)])
      for (const pid of this.#limited) spawnSync('prlimit', ['--pid', String(pid), '--fsize=0:'])
      return
    }
    const file = openSync(this.#ballast, 'w')
    try {
      while (writeSync(file, CHUNK) > 0);
    } catch {
      // It is full: that is what was wanted.
    } finally {
      closeSync(file)
    }
  }

  free(): void {
    for (const pid of this.#limited) spawnSync('prlimit', ['--pid', String(pid), '--fsize=unlimited:'])
    this.#limited = []
    rmSync(this.#ballast, { force: true })
  }

  close(): void {
    if (this.how === 'file system') execFileSync('umount', ['-l', this.folder])
  }
}
