import type { ReactNode } from 'react'
import './strip.css'

export type StripKind = 'note' | 'caution' | 'halt'

const WORDS: Readonly<Record<StripKind, string>> = { note: 'Note', caution: 'Caution', halt: 'Stop' }

type StripProps = {
  readonly kind: StripKind
  /** Instead of the word that the kind stands for. */
  readonly word?: string
  readonly children: ReactNode
  /** What can be done about it, at the end of the strip. */
  readonly action?: ReactNode
  /** Read out at once when it appears. For what just happened, not for what was there already. */
  readonly spoken?: boolean
}

/** A remark in its own strip: its kind is said by a word and a shape first, and by color last. */
export function Strip({ kind, word, children, action, spoken }: StripProps) {
  return (
    <div className={`strip strip-${kind}`} role={spoken ? (kind === 'note' ? 'status' : 'alert') : 'note'}>
      <KindMark kind={kind} />
      <div className="strip-body">
        <strong className="strip-word">{word ?? WORDS[kind]}</strong>{' '}
        <div className="strip-text">{children}</div>
      </div>
      {action && <div className="strip-action">{action}</div>}
    </div>
  )
}

/** Ring, triangle or diamond. */
export function KindMark({ kind }: { readonly kind: StripKind }) {
  return (
    <svg className={`kind-mark kind-mark-${kind}`} viewBox="0 0 20 20" aria-hidden="true">
      {kind === 'note' && (
        <circle cx="10" cy="10" r="6.5" fill="none" stroke="currentColor" strokeWidth="2.5" />
      )}
      {kind === 'caution' && (
        <path d="M10 3 18 17H2Z" fill="none" stroke="currentColor" strokeWidth="2.5" strokeLinejoin="round" />
      )}
      {kind === 'halt' && <path d="M10 1 19 10 10 19 1 10Z" fill="currentColor" />}
    </svg>
  )
}
