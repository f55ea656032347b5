import { useRegisterSW } from 'virtual:pwa-register/react'
import { useEffect, useState } from 'react'
import { useSession, useSessionState } from '../local/app-world.tsx'
import { useWaiting } from '../local/hooks.ts'
import { Button } from '../parts/button.tsx'
import { count } from '../parts/duration-text.ts'
import { Strip } from '../parts/strip.tsx'
import { announce } from './announce.tsx'
import { unlessHeld, useHeldReason } from './hold-updates.ts'
import type { Idle } from './idle.ts'

/** Remarks of the app about itself, at the foot of the screen, where they cover nothing. */
export function Notices({ idle }: { readonly idle: Idle }) {
  const state = useSessionState()
  return (
    <aside className="notices" aria-label="Notices">
      {idle.kind === 'warn' && <LockWarning leftS={idle.leftS} />}
      {state.kind === 'in' && <DoorNotice />}
      <UpdateNotice />
    </aside>
  )
}

function LockWarning({ leftS }: { readonly leftS: number }) {
  useEffect(() => announce('The screen locks soon. Touch it or press a key to stay.', 'assertive'), [])
  return (
    <Strip kind="caution" word={`Locks in ${count(leftS, 'second')}.`}>
      Touch the screen anywhere to stay.
    </Strip>
  )
}

/** The server wants to know again who this is. Work goes on meanwhile; only sending waits. */
function DoorNotice() {
  const { line, waiting } = useWaiting()
  const session = useSession()
  if (line !== 'signed out' && line !== 'locked') return null
  return (
    <Strip
      kind="caution"
      word={line === 'locked' ? 'Nothing new comes in.' : 'Not sending.'}
      spoken
      action={<Button onPress={() => session.lock()}>Confirm who you are</Button>}
    >
      The server asks who you are. {count(waiting, 'entry', 'entries')} kept on this tablet.
    </Strip>
  )
}

/** How often a tablet that stays open asks for a new version [ms]. Design rule. */
const LOOK_EVERY_MS = 3_600_000

function UpdateNotice() {
  const [later, setLater] = useState(false)
  const held = useHeldReason()
  const [elsewhere, setElsewhere] = useState(false)
  const { needRefresh, updateServiceWorker } = useRegisterSW({
    onRegisteredSW: (_url, registration) => {
      if (registration) setInterval(() => void registration.update().catch(() => {}), LOOK_EVERY_MS)
    },
  })
  if (!needRefresh[0] || later) return null
  if (held !== null) {
    return (
      <Strip kind="note" word="New version.">
        It waits until this is done: {held}.
      </Strip>
    )
  }
  return (
    <Strip
      kind="note"
      word="New version."
      action={
        <div className="row">
          <Button onPress={() => setLater(true)}>Later</Button>
          <Button onPress={async () => setElsewhere(!(await unlessHeld(updateServiceWorker)))}>
            Use it now
          </Button>
        </div>
      }
    >
      {elsewhere
        ? 'Another window of Mistwright has a visit open. Finish or leave that first.'
        : 'It is ready. The app opens anew for it; what was charted is kept.'}
    </Strip>
  )
}
