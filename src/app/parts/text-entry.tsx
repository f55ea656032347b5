import { FieldError } from 'react-aria-components/FieldError'
import { Input } from 'react-aria-components/Input'
import { Label } from 'react-aria-components/Label'
import { Text } from 'react-aria-components/Text'
import { TextArea } from 'react-aria-components/TextArea'
import { TextField, type TextFieldProps } from 'react-aria-components/TextField'
import './field.css'

type TextEntryProps = Omit<TextFieldProps, 'children' | 'className' | 'style' | 'isInvalid'> & {
  readonly label: string
  readonly hint?: string
  /** What is wrong with the text, as a sentence. */
  readonly problem?: string
  /** More than one makes it a box of so many lines. */
  readonly lines?: number
}

/** A line, or some lines, of text with its label above and what is wrong with it below. */
export function TextEntry({ label, hint, problem, lines = 1, ...rest }: TextEntryProps) {
  return (
    <TextField {...rest} className="field" isInvalid={problem !== undefined} validationBehavior="aria">
      <Label className="field-label">{label}</Label>
      {lines > 1 ? <TextArea className="field-input" rows={lines} /> : <Input className="field-input" />}
      {hint && (
        <Text slot="description" className="field-hint">
          {hint}
        </Text>
      )}
      <FieldError className="field-problem">{problem}</FieldError>
    </TextField>
  )
}
