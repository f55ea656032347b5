import { useState } from 'react'
import { Button } from '../../parts/button.tsx'
import { TextEntry } from '../../parts/text-entry.tsx'

type PasswordEntryProps = {
  readonly busy: boolean
  readonly problem: string | null
  readonly onEnter: (password: string) => void
}

/** The password, for whoever has no PIN or whose sign-in has ended. */
export function PasswordEntry({ busy, problem, onEnter }: PasswordEntryProps) {
  const [password, setPassword] = useState('')
  return (
    <form
      className="lock-password"
      onSubmit={(event) => {
        event.preventDefault()
        if (password === '' || busy) return
        setPassword('')
        onEnter(password)
      }}
    >
      <TextEntry
        label="Password"
        type="password"
        autoComplete="current-password"
        autoFocus
        value={password}
        onChange={setPassword}
        problem={problem ?? undefined}
      />
      <Button type="submit" tone="primary" gloved wide isPending={busy}>
        Unlock
      </Button>
    </form>
  )
}
