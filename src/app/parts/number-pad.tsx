import { useEffect, useId, useRef, useState } from 'react'
import { Button } from './button.tsx'
import { Keys } from './keys.tsx'
import { entryText, type NumberRule, standards, type Verdict, verdict } from './number-rule.ts'
import { Sheet } from './sheet.tsx'
import { Strip } from './strip.tsx'
import './number-pad.css'

type NumberPadProps = {
  readonly rule: NumberRule
  readonly value: number | null
  readonly isOpen: boolean
  readonly onClose: () => void
  /** `confirmedQuestion` is what was asked about an odd value and answered yes; null for a usual one. */
  readonly onAccept: (value: number | null, confirmedQuestion: string | null) => void
}

/** Number entry by large keys or by keyboard. Knows what is possible and asks before it takes an odd figure. */
export function NumberPad({ rule, value, isOpen, onClose, onAccept }: NumberPadProps) {
  return (
    <Sheet title={rule.name} isOpen={isOpen} onClose={onClose} place="middle">
      <Pad rule={rule} value={value} onAccept={onAccept} />
    </Sheet>
  )
}

function Pad({ rule, value, onAccept }: Pick<NumberPadProps, 'rule' | 'value' | 'onAccept'>) {
  const [text, setText] = useState('')
  const [found, setFound] = useState<Verdict | null>(null)
  const field = useRef<HTMLInputElement>(null)
  const remarks = useId()
  const odd = found?.kind === 'odd' ? found : null
  useEffect(() => {
    if (!odd) field.current?.focus()
  }, [odd])

  const change = (raw: string) => {
    const next = entryText(raw, rule)
    if (next === null) return
    setText(next)
    setFound(null)
  }
  // A second Enter must not answer the question: an odd figure is taken by its own button only.
  const enter = () => {
    const said = verdict(text, rule)
    if (said.kind === 'usual') onAccept(said.value, null)
    else setFound(said)
  }
  return (
    <form
      className="number-pad"
      onSubmit={(event) => {
        event.preventDefault()
        if (!odd) enter()
      }}
    >
      <div className="number-pad-line">
        <input
          ref={field}
          className="number-pad-text"
          aria-label={`${rule.name}, ${rule.unit}`}
          aria-describedby={remarks}
          inputMode="none"
          autoComplete="off"
          placeholder={value === null ? '–' : String(value)}
          value={text}
          onChange={(event) => change(event.target.value)}
        />
        <span className="number-pad-unit">{rule.unit}</span>
      </div>
      <p id={remarks} className="quiet small">
        {[...standards(rule), `asks outside ${rule.plausible.low} to ${rule.plausible.high}`].join(' · ')}
      </p>
      {odd ? (
        <OddQuestion
          question={odd.question}
          yes={`Yes, ${odd.value} is right`}
          onYes={() => onAccept(odd.value, odd.question)}
          onChange={() => setFound(null)}
        />
      ) : (
        <>
          {found && <NotTaken found={found} name={rule.name} />}
          <Keys
            point={rule.decimals > 0}
            onPress={(key) => change(key === 'back' ? text.slice(0, -1) : text + key)}
          />
          <div className="number-pad-foot">
            {value !== null && (
              <Button gloved onPress={() => onAccept(null, null)}>
                Take away
              </Button>
            )}
            <Button tone="primary" gloved type="submit">
              Enter
            </Button>
          </div>
        </>
      )}
    </form>
  )
}

type OddProps = {
  readonly question: string
  readonly yes: string
  readonly onYes: () => void
  readonly onChange: () => void
}

function OddQuestion({ question, yes, onYes, onChange }: OddProps) {
  return (
    <>
      <Strip kind="caution" word="Look again." spoken>
        {question}
      </Strip>
      <div className="number-pad-foot">
        <Button gloved autoFocus onPress={onChange}>
          Change it
        </Button>
        <Button gloved onPress={onYes}>
          {yes}
        </Button>
      </div>
    </>
  )
}

function NotTaken({ found, name }: { readonly found: Verdict; readonly name: string }) {
  return (
    <Strip kind="halt" word="Not taken." spoken>
      {found.kind === 'impossible' ? found.what : `Enter a figure for ${name.toLowerCase()}, or close.`}
    </Strip>
  )
}
