import { useSession } from '../local/app-world.tsx'
import { useMe } from '../local/hooks.ts'
import { Button } from '../parts/button.tsx'
import { WaitingMark } from './waiting-mark.tsx'
import './top-line.css'

type TopLineProps = {
  /** The section's name, shown while the screen puts nothing there itself. */
  readonly name: string | null
  /** Where a screen puts its title. */
  readonly slotRef: (slot: HTMLElement | null) => void
}

/** Where one is, what is still to be sent, who one is, and the lock: the same on every screen. */
export function TopLine({ name, slotRef }: TopLineProps) {
  const me = useMe()
  const session = useSession()
  return (
    <header className="top-line">
      <div ref={slotRef} className="top-line-slot" />
      {name !== null && <p className="top-line-name">{name}</p>}
      <div className="top-line-end no-print">
        <WaitingMark />
        <span className="top-line-person">
          {me.name}, {me.role}
        </span>
        <Button tone="quiet" flush="end" onPress={() => session.lock()}>
          Lock
        </Button>
      </div>
    </header>
  )
}
