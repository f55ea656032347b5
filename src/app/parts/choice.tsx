import { Radio, RadioGroup } from 'react-aria-components/RadioGroup'
import { TileField, type TileFieldProps, TileMark, TileWords } from './tile-field.tsx'

type ChoiceProps<Value extends string> = TileFieldProps<Value> & {
  readonly value: Value | null
  readonly onChange: (value: Value) => void
}

/** One of several, as large tiles. Arrow keys move within it, as in any radio group. */
export function Choice<Value extends string>({ value, onChange, ...field }: ChoiceProps<Value>) {
  return (
    <RadioGroup
      className="field"
      value={value}
      onChange={(next) => onChange(next as Value)}
      isDisabled={field.isDisabled ?? false}
      isInvalid={field.problem !== undefined}
      validationBehavior="aria"
    >
      <TileField
        {...field}
        tile={(option) => (
          <Radio
            key={option.value}
            className="tile"
            value={option.value}
            isDisabled={option.isDisabled ?? false}
          >
            <TileMark round />
            <TileWords label={option.label} note={option.note} />
          </Radio>
        )}
      />
    </RadioGroup>
  )
}
