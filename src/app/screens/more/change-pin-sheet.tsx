import { useState } from 'react'
import { useSession } from '../../local/app-world.tsx'
import { Button } from '../../parts/button.tsx'
import { Sheet } from '../../parts/sheet.tsx'
import { Strip } from '../../parts/strip.tsx'
import { TextEntry } from '../../parts/text-entry.tsx'

type ChangePinSheetProps = { readonly isOpen: boolean; readonly onClose: () => void }

/** A new PIN, confirmed by the password. */
export function ChangePinSheet({ isOpen, onClose }: ChangePinSheetProps) {
  return (
    <Sheet title="PIN for the lock" place="middle" isOpen={isOpen} onClose={onClose}>
      <ChangePin onDone={onClose} />
    </Sheet>
  )
}

function ChangePin({ onDone }: { readonly onDone: () => void }) {
  const session = useSession()
  const [password, setPassword] = useState('')
  const [pin, setPin] = useState('')
  const [again, setAgain] = useState('')
  const [busy, setBusy] = useState(false)
  const [problem, setProblem] = useState<string | null>(null)
  const keep = async () => {
    if (!/^\d{6,12}$/.test(pin)) return setProblem('A PIN has 6 to 12 digits.')
    if (pin !== again) return setProblem('The two PINs are not the same.')
    setBusy(true)
    const outcome = await session.setPin(pin, password)
    setBusy(false)
    if (outcome.ok) onDone()
    else setProblem(`${outcome.what} ${outcome.todo}`)
  }
  const digits = { type: 'password', inputMode: 'numeric', autoComplete: 'new-password' } as const
  return (
    <form
      className="stack"
      onSubmit={(event) => {
        event.preventDefault()
        if (!busy) void keep()
      }}
    >
      <TextEntry
        label="Password"
        type="password"
        autoComplete="current-password"
        autoFocus
        value={password}
        onChange={setPassword}
      />
      <TextEntry label="New PIN" hint="6 to 12 digits" {...digits} value={pin} onChange={setPin} />
      <TextEntry label="New PIN again" {...digits} value={again} onChange={setAgain} />
      {problem !== null && (
        <Strip kind="halt" word="Not changed." spoken>
          {problem}
        </Strip>
      )}
      <Button type="submit" tone="primary" gloved wide isPending={busy}>
        Keep this PIN
      </Button>
    </form>
  )
}
