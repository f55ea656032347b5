import { useState } from 'react'
import { useSession } from '../../local/app-world.tsx'
import { useMe, useWaiting } from '../../local/hooks.ts'
import type { Outcome } from '../../local/session.ts'
import { Button } from '../../parts/button.tsx'
import { PinEntry } from '../../parts/pin-entry.tsx'
import { SignOutSheet } from '../more/sign-out-sheet.tsx'
import { HospitalSignIn } from '../sign-in/hospital-sign-in.tsx'
import { LockedTimers } from './locked-timers.tsx'
import { PasswordEntry } from './password-entry.tsx'
import './lock.css'

/** The lock: who locked it, what runs, and the keys. Nothing here says anything of a patient. */
export function Lock() {
  const me = useMe()
  const session = useSession()
  const { line } = useWaiting()
  const mustUsePassword = !me.pinSet || line === 'signed out'
  const [byPassword, setByPassword] = useState(false)
  const [leaving, setLeaving] = useState(false)
  const [busy, setBusy] = useState(false)
  const [problem, setProblem] = useState<string | null>(null)
  const attempt = async (unlocking: Promise<Outcome>) => {
    setBusy(true)
    setProblem(null)
    const outcome = await unlocking
    setBusy(false)
    if (!outcome.ok) setProblem(`${outcome.what} ${outcome.todo}`)
  }
  const usePassword = byPassword || mustUsePassword
  return (
    <main className="lock">
      <div className="lock-head">
        <h1 className="voice-title">Locked</h1>
        <p className="quiet">
          by {me.name}, {me.role}
        </p>
      </div>
      <LockedTimers />
      {usePassword ? (
        <PasswordEntry
          busy={busy}
          problem={problem}
          onEnter={(password) => void attempt(session.unlockByPassword(password))}
        />
      ) : (
        <PinEntry
          label="PIN"
          enter="Unlock"
          busy={busy}
          problem={problem}
          onEnter={(pin) => void attempt(session.unlockByPin(pin))}
        />
      )}
      {usePassword && <HospitalSignIn />}
      <div className="row lock-foot">
        {!mustUsePassword && (
          <Button
            tone="quiet"
            onPress={() => {
              setProblem(null)
              setByPassword(!byPassword)
            }}
          >
            {byPassword ? 'Use the PIN' : 'Use the password'}
          </Button>
        )}
        <Button tone="quiet" onPress={() => setLeaving(true)}>
          Not {me.name}? Sign out
        </Button>
      </div>
      <SignOutSheet isOpen={leaving} onClose={() => setLeaving(false)} />
    </main>
  )
}
