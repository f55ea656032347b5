import { useState } from 'react'
import { Button as AriaButton } from 'react-aria-components/Button'
import { NumberPad } from './number-pad.tsx'
import { type NumberRule, standards } from './number-rule.ts'
import { Reading } from './reading.tsx'
import './number-entry.css'

type NumberEntryProps = {
  readonly rule: NumberRule
  readonly value: number | null
  /** The question that was asked and answered yes, when the value was an odd one; else null. */
  readonly onChange: (value: number | null, confirmedQuestion: string | null) => void
  /** Further remarks under the figure: "before 84", "stop above 104". */
  readonly remarks?: readonly string[]
  /** What is wrong with it, if anything. */
  readonly problem?: string | undefined
  readonly isDisabled?: boolean
}

/** A figure that opens the keypad when pressed. */
export function NumberEntry({
  rule,
  value,
  onChange,
  remarks = [],
  problem,
  isDisabled = false,
}: NumberEntryProps) {
  const [open, setOpen] = useState(false)
  const shown = value === null ? null : value.toFixed(decimalsIn(value, rule.decimals))
  return (
    <>
      <AriaButton
        className="number-entry"
        isDisabled={isDisabled}
        onPress={() => setOpen(true)}
        {...(problem !== undefined && { 'data-problem': true })}
      >
        <Reading
          name={rule.name}
          value={shown}
          unit={rule.unit}
          remarks={[...remarks, ...standards(rule)]}
          without={<span className="number-entry-blank">Enter</span>}
        />
        {problem !== undefined && <span className="number-entry-problem">{problem}</span>}
      </AriaButton>
      <NumberPad
        rule={rule}
        value={value}
        isOpen={open}
        onClose={() => setOpen(false)}
        onAccept={(next, question) => {
          setOpen(false)
          onChange(next, question)
        }}
      />
    </>
  )
}

function decimalsIn(value: number, most: number): number {
  return Math.min(most, String(value).split('.')[1]?.length ?? 0)
}
