import { Link } from '@tanstack/react-router'
import { useWaiting } from '../local/hooks.ts'
import type { Sending } from '../local/local-store.ts'
import { KindMark } from '../parts/strip.tsx'
import { waitingWords } from './waiting-words.ts'

/** The one quiet place that says what is still to be sent. Pressing it leads to the particulars. */
export function WaitingMark() {
  const sending = useWaiting()
  return (
    <Link
      to="/more"
      hash="sending"
      className={needsEyes(sending) ? 'waiting-mark' : 'waiting-mark waiting-quiet'}
    >
      {sending.refused.length > 0 && <KindMark kind="halt" />}
      {sending.refused.length === 0 && sending.line === 'away' && <KindMark kind="caution" />}
      <span>
        {sending.line === 'away' && <span className="waiting-line">no network · </span>}
        {waitingWords(sending)}
      </span>
    </Link>
  )
}

function needsEyes({ refused, waiting }: Sending): boolean {
  return refused.length > 0 || waiting > 0
}
