import type { Sending } from '../local/local-store.ts'

type Counted = Pick<Sending, 'waiting' | 'line'> & { readonly refused: readonly unknown[] }

/** What is still to be sent, in a few words. */
export function waitingWords({ waiting, refused, line }: Counted): string {
  if (refused.length > 0) return `${refused.length} refused`
  const left = waiting === 0 ? 'all sent' : `${waiting} to send`
  return line === 'away' ? `no network · ${left}` : left
}

/** How the line to the server stands, as a sentence. */
export function lineWords(line: Sending['line']): string {
  switch (line) {
    case 'live':
      return 'Connected: what others chart appears here at once.'
    case 'polling':
      return 'Connected: this tablet asks every few seconds.'
    case 'starting':
      return 'Connecting.'
    case 'away':
      return 'The server cannot be reached. Everything is kept here and sent by itself once it can be.'
    case 'locked':
      return 'The server waits for your PIN before it takes anything.'
    case 'signed out':
      return 'Your sign-in has ended at the server. Confirm who you are to go on sending.'
  }
}
