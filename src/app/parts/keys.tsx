import { Button as AriaButton } from 'react-aria-components/Button'
import './keys.css'

type KeysProps = {
  /** A digit, `.` or `back`. */
  readonly onPress: (key: string) => void
  readonly point?: boolean
}

const DIGITS = ['1', '2', '3', '4', '5', '6', '7', '8', '9'] as const

/** The twelve keys of a number pad, large enough for gloves. */
export function Keys({ onPress, point = false }: KeysProps) {
  return (
    // biome-ignore lint/a11y/useSemanticElements: a fieldset would bring a frame and a legend of its own
    <div className="keys" role="group" aria-label="Keys">
      {DIGITS.map((digit) => (
        <Key key={digit} shown={digit} onPress={() => onPress(digit)} />
      ))}
      {point ? <Key shown="." name="point" onPress={() => onPress('.')} /> : <span />}
      <Key shown="0" onPress={() => onPress('0')} />
      <Key shown="⌫" name="take back the last digit" onPress={() => onPress('back')} />
    </div>
  )
}

function Key({
  shown,
  name,
  onPress,
}: {
  readonly shown: string
  readonly name?: string
  readonly onPress: () => void
}) {
  return (
    <AriaButton className="key" onPress={onPress} preventFocusOnPress {...(name && { 'aria-label': name })}>
      {shown}
    </AriaButton>
  )
}
