import { useEffect, useState } from 'react'
import { useSession } from '../../local/app-world.tsx'
import { Button } from '../../parts/button.tsx'
import { PinEntry } from '../../parts/pin-entry.tsx'
import './sign-in.css'

/** After the first sign-in: a PIN, so that the lock opens with gloves on. Entered twice. */
export function ChoosePin() {
  const session = useSession()
  const [first, setFirst] = useState<string | null>(null)
  const [busy, setBusy] = useState(false)
  const [problem, setProblem] = useState<string | null>(null)
  useEffect(() => {
    document.title = 'Choose a PIN · Mistwright'
  }, [])
  const enter = async (pin: string) => {
    setProblem(null)
    if (first === null) return setFirst(pin)
    setFirst(null)
    if (pin !== first) return setProblem('The two were not the same. Choose it again.')
    setBusy(true)
    const outcome = await session.setPin(pin)
    setBusy(false)
    if (!outcome.ok) setProblem(`${outcome.what} ${outcome.todo}`)
  }
  return (
    <main className="sign-in">
      <header className="sign-in-head">
        <p className="sign-in-name">Mistwright</p>
        <h1 className="voice-title">
          {first === null ? 'Choose a PIN for the lock.' : 'The same PIN once more.'}
        </h1>
        <p className="quiet">
          Six to twelve digits. This tablet locks itself when nobody touches it; the PIN opens it again, also
          without a network.
        </p>
      </header>
      <PinEntry
        key={first === null ? 'first' : 'again'}
        label={first === null ? 'New PIN' : 'New PIN again'}
        enter={first === null ? 'Next' : 'Keep this PIN'}
        busy={busy}
        problem={problem}
        onEnter={(pin) => void enter(pin)}
      />
      <Button tone="quiet" onPress={() => session.laterPin()}>
        Later: unlock by password until then
      </Button>
    </main>
  )
}
