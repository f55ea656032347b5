import { useId } from 'react'
import './field.css'

type DateEntryProps = {
  readonly label: string
  /** YYYY-MM-DD, or empty. */
  readonly value: string
  readonly onChange: (value: string) => void
  readonly earliest?: string
  readonly latest?: string
  readonly hint?: string | undefined
  readonly problem?: string | undefined
}

/** A calendar date by the device's own picker, or typed. */
export function DateEntry({ label, value, onChange, earliest, latest, hint, problem }: DateEntryProps) {
  const id = useId()
  return (
    <div className="field">
      <label className="field-label" htmlFor={id}>
        {label}
      </label>
      <input
        id={id}
        className="field-input"
        type="date"
        value={value}
        min={earliest}
        max={latest}
        aria-describedby={`${id}-hint ${id}-problem`}
        aria-invalid={problem !== undefined}
        {...(problem !== undefined && { 'data-invalid': true })}
        onChange={(event) => onChange(event.target.value)}
      />
      {hint && (
        <span id={`${id}-hint`} className="field-hint">
          {hint}
        </span>
      )}
      {problem && (
        <span id={`${id}-problem`} className="field-problem">
          {problem}
        </span>
      )}
    </div>
  )
}
