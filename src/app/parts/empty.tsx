import type { ReactNode } from 'react'
import './empty.css'

type EmptyProps = {
  /** What is not here, as a sentence. */
  readonly title: string
  /** Why, and what to do first. */
  readonly children?: ReactNode
  readonly action?: ReactNode
}

/** A place with nothing in it yet: says so, and what to do first. */
export function Empty({ title, children, action }: EmptyProps) {
  return (
    <section className="empty">
      <h2 className="voice-title">{title}</h2>
      {children && <div className="empty-why quiet">{children}</div>}
      {action && <div className="row">{action}</div>}
    </section>
  )
}
