import { FieldError } from 'react-aria-components/FieldError'
import { Input } from 'react-aria-components/Input'
import { Label } from 'react-aria-components/Label'
import { Text } from 'react-aria-components/Text'
import { TextArea } from 'react-aria-components/TextArea'
import { TextField, type TextFieldProps } from 'react-aria-components/TextField'
import './field.css'

type TextEntryProps = Omit<TextFieldProps, 'children' | 'className' | 'style' | 'isInvalid'> & {
  readonly label: string
  readonly hint?: string | undefined
  /** What is wrong with the text, as a sentence. */
  readonly problem?: string | undefined
  /** More than one makes it a box of so many lines. */
  readonly lines?: number
  /** An example of the form, not of the content: it goes away when typing starts. */
  readonly placeholder?: string
}

/** A line, or some lines, of text with its label above and what is wrong with it below. */
export function TextEntry({ label, hint, problem, lines = 1, placeholder, ...rest }: TextEntryProps) {
  return (
    <TextField {...rest} className="field" isInvalid={problem !== undefined} validationBehavior="aria">
      <Label className="field-label">{label}</Label>
      {lines > 1 ? (
        <TextArea className="field-input" rows={lines} {...(placeholder && { placeholder })} />
      ) : (
        <Input className="field-input" {...(placeholder && { placeholder })} />
      )}
      {hint && (
        <Text slot="description" className="field-hint">
          {hint}
        </Text>
      )}
      <FieldError className="field-problem">{problem}</FieldError>
    </TextField>
  )
}
