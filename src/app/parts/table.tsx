import { type ReactNode, useId } from 'react'
import './table.css'

/** A column: its heading, and what stands in it for a row. */
export type Column<Row> = {
  readonly name: string
  readonly cell: (row: Row) => ReactNode
  /** Figures stand at the end of the cell, so that their digits line up. */
  readonly figures?: boolean
  /** Names the row to screen readers; the first column unless another says so. */
  readonly heads?: boolean
}

type TableProps<Row> = {
  /** Says what the table holds; hide it from sight where a heading does. */
  readonly caption: string
  readonly captionUnseen?: boolean
  readonly columns: readonly Column<Row>[]
  readonly rows: readonly Row[]
  readonly keyOf: (row: Row) => string
  /** Said instead of rows when there are none. */
  readonly none: string
}

/** A plain table with real headings. Where it is wider than the screen it scrolls by itself, also by keyboard. */
export function Table<Row>({ caption, captionUnseen = false, columns, rows, keyOf, none }: TableProps<Row>) {
  const id = useId()
  const head = Math.max(
    0,
    columns.findIndex((column) => column.heads),
  )
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: what scrolls must be reachable by keyboard (WCAG 2.1.1)
    <section className="table-frame" aria-labelledby={id} tabIndex={0}>
      <table className="table">
        <caption id={id} className={captionUnseen ? 'unseen' : undefined}>
          {caption}
        </caption>
        <thead>
          <tr>
            {columns.map((column) => (
              <th key={column.name} scope="col" className={column.figures ? 'table-figures' : undefined}>
                {column.name}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {rows.map((row) => (
            <tr key={keyOf(row)}>
              {columns.map((column, index) => {
                const Cell = index === head ? 'th' : 'td'
                return (
                  <Cell
                    key={column.name}
                    {...(index === head && { scope: 'row' })}
                    className={column.figures ? 'table-figures' : undefined}
                  >
                    {column.cell(row)}
                  </Cell>
                )
              })}
            </tr>
          ))}
          {rows.length === 0 && (
            <tr>
              <td className="quiet" colSpan={columns.length}>
                {none}
              </td>
            </tr>
          )}
        </tbody>
      </table>
    </section>
  )
}
