import { Link } from '@tanstack/react-router'
import { buttonClass } from '../parts/button.tsx'
import { Empty } from '../parts/empty.tsx'
import { Screen } from './screen.tsx'

/** An address that leads nowhere. */
export function NotHere() {
  return (
    <Screen title="Nothing here">
      <Empty
        title="There is no screen at this address."
        action={
          <Link to="/more" className={buttonClass()}>
            See what there is
          </Link>
        }
      >
        The address may be from an older version, or mistyped. Nothing is lost.
      </Empty>
    </Screen>
  )
}
