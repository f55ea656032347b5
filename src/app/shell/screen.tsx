import { createContext, type ReactNode, useContext } from 'react'
import { createPortal } from 'react-dom'

/** The place in the top line where a screen says what it is. Given by the frame. */
export const TopLineSlot = createContext<HTMLElement | null>(null)

type ScreenProps = {
  /** The heading of the screen, in the top line. */
  readonly title: string
  /** Beside it in quiet words: the shift, the patient's order. */
  readonly about?: ReactNode
  /** `page` gives the content its margins and gaps; `bare` leaves them to the screen. */
  readonly layout?: 'page' | 'bare'
  readonly children: ReactNode
}

/** A screen with its heading in the top line and its content below. */
export function Screen({ title, about, layout = 'page', children }: ScreenProps) {
  const slot = useContext(TopLineSlot)
  return (
    <>
      {slot &&
        createPortal(
          <>
            <h1>{title}</h1>
            {about && <p className="top-line-about">{about}</p>}
          </>,
          slot,
        )}
      <main id="main" tabIndex={-1} className={layout}>
        {children}
      </main>
    </>
  )
}
