import type { Sending } from '../local/local-store.ts'

/** What is still to be sent, and else who is still to be fetched, in a few words. */
export function waitingWords({
  waiting,
  refused,
  lacking,
}: {
  readonly waiting: number
  readonly refused: readonly unknown[]
  readonly lacking: number | null
}): string {
  if (refused.length > 0) return `${refused.length} refused`
  if (waiting > 0) return `${waiting} to send`
  return lacking ? `${lacking} patients to come` : 'all sent'
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
      return 'The server waits for your PIN before it shows anything new; what you write is sent.'
    case 'signed out':
      return 'Your sign-in has ended at the server. Confirm who you are to go on sending.'
  }
}
