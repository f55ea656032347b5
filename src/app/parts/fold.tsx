import { type ReactNode, useEffect, useRef } from 'react'
import { Button } from './button.tsx'
import { KindMark } from './strip.tsx'
import './fold.css'

type FoldProps = {
  readonly name: string
  /** What matters of it in one line, while it is folded. */
  readonly line: string
  /** `ahead` cannot be opened yet; `doubt` is done, but something in it is asked about. */
  readonly state: 'done' | 'open' | 'ahead' | 'doubt'
  /** Leave it out for a row that can only be read. */
  readonly onOpen?: () => void
  /** Moves the focus to the heading when it opens; not for the row that is open when the screen comes up. */
  readonly focusOnOpen?: boolean
  /** Shown while open. */
  readonly children?: ReactNode
}

/** A row that is folded to the line that matters, or open: one open row has the sheet's ground and ink rules. */
export function Fold({ name, line, state, onOpen, focusOnOpen = false, children }: FoldProps) {
  const heading = useRef<HTMLHeadingElement>(null)
  const open = state === 'open'
  useEffect(() => {
    if (open && focusOnOpen) heading.current?.focus()
  }, [open, focusOnOpen])

  if (open) {
    return (
      <section className="fold fold-open" aria-label={name}>
        <h2 className="voice-head" ref={heading} tabIndex={-1}>
          {name}
        </h2>
        {children}
      </section>
    )
  }
  return (
    <div className={`fold fold-${state}`}>
      <h2 className="fold-name">{name}</h2>
      <p className="fold-line">
        {state === 'doubt' && <KindMark kind="caution" />}
        {line}
      </p>
      {onOpen && state !== 'ahead' && (
        <Button tone="quiet" onPress={onOpen} aria-label={`open ${name}`} aria-expanded={false}>
          open
        </Button>
      )}
    </div>
  )
}
