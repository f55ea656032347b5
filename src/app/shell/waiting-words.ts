import { isBringing, type Sending } from '../local/local-store.ts'
import { count } from '../parts/duration-text.ts'

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
  if (lacking === 0) return 'all sent'
  return lacking === null ? 'patients to come' : `${count(lacking, 'patient')} to come`
}

/** What it means that patients of the shift are not on this tablet yet; how many is null until that is known. */
export function stillComingWords(lacking: number | null, line: Sending['line']): string {
  const who =
    lacking === null
      ? 'Patients of the shift are'
      : `${count(lacking, 'patient')} of the shift ${lacking === 1 ? 'is' : 'are'}`
  const comes = isBringing(line)
    ? 'still coming to this tablet.'
    : 'not on this tablet, and it has no line to the server that brings them: ask somebody else who is due.'
  return `${who} ${comes} Lists, counts and the plan are of those who are here; a plan can be given out once all are.`
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
