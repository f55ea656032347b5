import type { CSSProperties, ReactNode } from 'react'
import { FieldError } from 'react-aria-components/FieldError'
import { Label } from 'react-aria-components/Label'
import { Text } from 'react-aria-components/Text'
import './field.css'
import './tiles.css'

/** One tile of a choice. */
export type Option<Value extends string = string> = {
  readonly value: Value
  readonly label: string
  /** A short remark under the label. */
  readonly note?: string | undefined
  readonly isDisabled?: boolean
}

/** What a choice of one and a choice of several have in common. */
export type TileFieldProps<Value extends string> = {
  readonly label: string
  /** Hides the label from sight where a heading already says it. */
  readonly labelUnseen?: boolean
  readonly options: readonly Option<Value>[]
  readonly hint?: string | undefined
  readonly problem?: string | undefined
  /** Narrowest width of a tile [rem]; tiles fill the row. */
  readonly tileRem?: number
  readonly isDisabled?: boolean
}

/** What stands in the group, whichever its kind: label, hint, the tiles as `tile` makes them, and what is wrong. */
export function TileField<Value extends string>(
  props: TileFieldProps<Value> & { readonly tile: (option: Option<Value>) => ReactNode },
) {
  const { label, labelUnseen, options, hint, problem, tileRem = 9, tile } = props
  return (
    <>
      <Label className={labelUnseen ? 'unseen' : 'field-label'}>{label}</Label>
      {hint && (
        <Text slot="description" className="field-hint">
          {hint}
        </Text>
      )}
      <div className="tiles" style={{ '--tile': `${tileRem}rem` } as CSSProperties}>
        {options.map(tile)}
      </div>
      <FieldError className="field-problem">{problem}</FieldError>
    </>
  )
}

/** The mark that says chosen or not by its shape: an empty ring or box, or one that is filled. */
export function TileMark({ round = false }: { readonly round?: boolean }) {
  return (
    <svg className="tile-mark" viewBox="0 0 20 20" aria-hidden="true">
      {round ? <circle cx="10" cy="10" r="8" /> : <rect x="2.5" y="2.5" width="15" height="15" rx="2" />}
      {round ? (
        <circle className="tile-mark-on" cx="10" cy="10" r="4.5" />
      ) : (
        <path className="tile-mark-on tile-mark-tick" d="M5.5 10.5 9 14 15 6.5" />
      )}
    </svg>
  )
}

export function TileWords({ label, note }: { readonly label: string; readonly note?: string | undefined }) {
  return (
    <span className="tile-words">
      <span className="tile-label">{label}</span>
      {note && <span className="tile-note">{note}</span>}
    </span>
  )
}
