import { type ChildProcess, spawn } from 'node:child_process'
import { existsSync, readFileSync } from 'node:fs'

/** One system call, as it ended: what was called, on which file, and the rest of its words. */
export type Call = { readonly name: string; readonly file: string; readonly text: string }

/** What strace is told: follow children, name files, show what was sent and what reaches the disk. */
const WORDS = ['-f', '-y', '-s', '64', '-e', 'trace=fsync,fdatasync,write,pwrite64,sendto,recvfrom']

/** Runs a program under strace to its end, or watches one that runs until `stop`. The calls come in `file`. */
export function strace(
  file: string,
  what: { readonly run: readonly string[] } | { readonly pid: number },
): ChildProcess {
  const words = 'pid' in what ? ['-p', String(what.pid)] : what.run
  return spawn('strace', [...WORDS, '-o', file, ...words], { stdio: ['ignore', 'ignore', 'pipe'] })
}

/** Resolves once strace says that it watches a process. */
export function attached(watch: ChildProcess): Promise<void> {
  return new Promise((resolve, reject) => {
    let said = ''
    watch.stderr?.on('data', (chunk: Buffer) => {
      said += chunk.toString()
      if (/attached/.test(said)) resolve()
    })
    watch.once('exit', () => reject(new Error(`strace could not watch: ${said}`)))
  })
}

/** The calls in the order in which they ended; one that was cut in two by another process's is put together. */
export function callsIn(file: string): Call[] {
  if (!existsSync(file)) return []
  const begun = new Map<string, string>()
  return readFileSync(file, 'utf8')
    .split('\n')
    .flatMap((line) => {
      const [, pid = '', rest = ''] = /^(\d+) +(.*)$/.exec(line) ?? []
      if (rest.endsWith('<unfinished ...>')) {
        begun.set(pid, rest.slice(0, -'<unfinished ...>'.length))
        return []
      }
      const text = rest.replace(/^<\.\.\. \w+ resumed>/, () => begun.get(pid) ?? '')
      const [, name, path] = /^(\w+)\(\d+<([^>]*)>/.exec(text) ?? []
      return name === undefined ? [] : [{ name, file: path ?? '', text }]
    })
}

/** Whether a call put a file on the disk, and did. */
export const reachesDisk = ({ name, text }: Call) => /^f(data)?sync$/.test(name) && / = 0$/.test(text)
