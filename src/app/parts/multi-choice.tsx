import { Checkbox } from 'react-aria-components/Checkbox'
import { CheckboxGroup } from 'react-aria-components/CheckboxGroup'
import { TileField, type TileFieldProps, TileMark, TileWords } from './tile-field.tsx'

type MultiChoiceProps<Value extends string> = TileFieldProps<Value> & {
  readonly value: readonly Value[]
  readonly onChange: (value: Value[]) => void
}

/** Any number out of several, as large tiles. */
export function MultiChoice<Value extends string>({ value, onChange, ...field }: MultiChoiceProps<Value>) {
  return (
    <CheckboxGroup
      className="field"
      value={[...value]}
      onChange={(next) => onChange(next as Value[])}
      isDisabled={field.isDisabled ?? false}
      isInvalid={field.problem !== undefined}
      validationBehavior="aria"
    >
      <TileField
        {...field}
        tile={(option) => (
          <Checkbox
            key={option.value}
            className="tile"
            value={option.value}
            isDisabled={option.isDisabled ?? false}
          >
            <TileMark />
            <TileWords label={option.label} note={option.note} />
          </Checkbox>
        )}
      />
    </CheckboxGroup>
  )
}
