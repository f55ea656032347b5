import { randomBytes } from 'node:crypto'
import { uuidv7 } from '../chart/ids.ts'
import type { Writer } from '../chart/registry.ts'
import type { SignedIn } from './people.ts'

/** Writes facts here on the word of somebody who is signed in. */
export function writerFor(who: SignedIn, nowMs: () => number): Writer {
  return {
    facility: who.facility,
    by: { personId: who.personId, role: who.role },
    device: 'server',
    newId: () => uuidv7({ nowMs, randomBytes: (length) => new Uint8Array(randomBytes(length)) }),
    nowMs,
  }
}
