import type { CSSProperties } from 'react'
import { Checkbox } from 'react-aria-components/Checkbox'
import { CheckboxGroup } from 'react-aria-components/CheckboxGroup'
import { FieldError } from 'react-aria-components/FieldError'
import { Label } from 'react-aria-components/Label'
import { Text } from 'react-aria-components/Text'
import { type Option, TileMark, TileWords } from './choice.tsx'
import './field.css'
import './tiles.css'

type MultiChoiceProps<Value extends string> = {
  readonly label: string
  readonly labelUnseen?: boolean
  readonly options: readonly Option<Value>[]
  readonly value: readonly Value[]
  readonly onChange: (value: Value[]) => void
  readonly hint?: string | undefined
  readonly problem?: string | undefined
  /** Narrowest width of a tile [rem]; tiles fill the row. */
  readonly tileRem?: number
  readonly isDisabled?: boolean
}

/** Any number out of several, as large tiles. */
export function MultiChoice<Value extends string>(props: MultiChoiceProps<Value>) {
  const {
    label,
    labelUnseen,
    options,
    value,
    onChange,
    hint,
    problem,
    tileRem = 9,
    isDisabled = false,
  } = props
  return (
    <CheckboxGroup
      className="field"
      value={[...value]}
      onChange={(next) => onChange(next as Value[])}
      isDisabled={isDisabled}
      isInvalid={problem !== undefined}
      validationBehavior="aria"
    >
      <Label className={labelUnseen ? 'unseen' : 'field-label'}>{label}</Label>
      {hint && (
        <Text slot="description" className="field-hint">
          {hint}
        </Text>
      )}
      <div className="tiles" style={{ '--tile': `${tileRem}rem` } as CSSProperties}>
        {options.map((option) => (
          <Checkbox
            key={option.value}
            className="tile"
            value={option.value}
            isDisabled={option.isDisabled ?? false}
          >
            <TileMark />
            <TileWords label={option.label} note={option.note} />
          </Checkbox>
        ))}
      </div>
      <FieldError className="field-problem">{problem}</FieldError>
    </CheckboxGroup>
  )
}
