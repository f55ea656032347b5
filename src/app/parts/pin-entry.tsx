import { type ReactNode, useEffect, useRef, useState } from 'react'
import { Button } from './button.tsx'
import { Keys } from './keys.tsx'
import './pin-entry.css'

type PinEntryProps = {
  readonly label: string
  /** What the button says: "Unlock", "Next". */
  readonly enter: string
  readonly busy?: boolean
  /** Said under the field: what was wrong with the last one. */
  readonly problem?: ReactNode
  /** Gets the PIN; the field is emptied. */
  readonly onEnter: (pin: string) => void
}

const [SHORTEST, LONGEST] = [6, 12]

/** A PIN of 6 to 12 digits by large keys or by keyboard. The digits are never shown. */
export function PinEntry({ label, enter, busy = false, problem, onEnter }: PinEntryProps) {
  const [pin, setPin] = useState('')
  const field = useRef<HTMLInputElement>(null)
  useEffect(() => field.current?.focus(), [])
  const change = (raw: string) => {
    if (/^\d*$/.test(raw) && raw.length <= LONGEST) setPin(raw)
  }
  return (
    <form
      className="pin-entry"
      autoComplete="off"
      onSubmit={(event) => {
        event.preventDefault()
        if (pin.length < SHORTEST || busy) return
        setPin('')
        onEnter(pin)
        field.current?.focus()
      }}
    >
      <input
        ref={field}
        className="pin-entry-field"
        type="password"
        inputMode="none"
        autoComplete="off"
        aria-label={label}
        aria-description={`${SHORTEST} to ${LONGEST} digits`}
        value={pin}
        onChange={(event) => change(event.target.value)}
      />
      <p className="pin-entry-problem" role="alert">
        {problem}
      </p>
      <Keys onPress={(key) => change(key === 'back' ? pin.slice(0, -1) : pin + key)} />
      <Button type="submit" tone="primary" gloved wide isDisabled={pin.length < SHORTEST} isPending={busy}>
        {enter}
      </Button>
    </form>
  )
}
