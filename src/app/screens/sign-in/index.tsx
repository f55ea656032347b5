import { useEffect, useState } from 'react'
import { useSession } from '../../local/app-world.tsx'
import { leftBehind } from '../../local/device.ts'
import { hospitalRefusal } from '../../local/session.ts'
import { Button } from '../../parts/button.tsx'
import { count } from '../../parts/duration-text.ts'
import { Strip } from '../../parts/strip.tsx'
import { TextEntry } from '../../parts/text-entry.tsx'
import { ThemeSwitch } from '../../shell/theme-switch.tsx'
import { HospitalSignIn } from './hospital-sign-in.tsx'
import './sign-in.css'

/** Nobody is signed in: name and password, and what still waits on this tablet. */
export function SignIn() {
  const session = useSession()
  const [username, setUsername] = useState('')
  const [password, setPassword] = useState('')
  const [busy, setBusy] = useState(false)
  const [problem, setProblem] = useState<string | null>(hospitalRefusal)
  useEffect(() => {
    document.title = 'Sign in · Mistwright'
  }, [])
  const signIn = async () => {
    setBusy(true)
    setProblem(null)
    const outcome = await session.signIn(username.trim(), password)
    setBusy(false)
    if (outcome.ok) return
    setPassword('')
    setProblem(`${outcome.what} ${outcome.todo}`)
  }
  return (
    <main className="sign-in">
      <header className="sign-in-head">
        <p className="sign-in-name">Mistwright</p>
        <h1 className="voice-title">Sign in for your shift.</h1>
      </header>
      <form
        className="sign-in-form"
        onSubmit={(event) => {
          event.preventDefault()
          if (username.trim() !== '' && password !== '' && !busy) void signIn()
        }}
      >
        <TextEntry label="Name" autoComplete="username" autoFocus value={username} onChange={setUsername} />
        <TextEntry
          label="Password"
          type="password"
          autoComplete="current-password"
          value={password}
          onChange={setPassword}
        />
        {problem !== null && (
          <Strip kind="halt" word="Not signed in." spoken>
            {problem}
          </Strip>
        )}
        <Button type="submit" tone="primary" gloved wide isPending={busy}>
          {busy ? 'Signing in…' : 'Sign in'}
        </Button>
      </form>
      <HospitalSignIn />
      <LeftBehindNotes />
      <div className="sign-in-foot">
        <ThemeSwitch brief />
      </div>
    </main>
  )
}

function LeftBehindNotes() {
  return leftBehind().map(({ facility, personId, name, entries }) => (
    <Strip key={`${facility} ${personId}`} kind="caution" word="Not sent yet.">
      {count(entries, 'entry', 'entries')} of {name} {entries === 1 ? 'waits' : 'wait'} on this tablet, to be
      sent at their next sign-in here.
    </Strip>
  ))
}
