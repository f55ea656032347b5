import { memo, type ReactNode, useCallback, useState } from 'react'
import { Button } from './button.tsx'
import { type Column, Table } from './table.tsx'
import './chart-frame.css'

type ChartFrameProps<Row> = {
  /** What the picture shows, as a sentence; its screen-reader name and its caption. */
  readonly title: string
  readonly titleUnseen?: boolean
  readonly children: ReactNode
  /** The figures behind the picture, for whoever would rather read them. */
  readonly rows?: readonly Row[]
  readonly columns?: readonly Column<Row>[]
  readonly keyOf?: (row: Row) => string
}

/** A picture of figures with its caption, and the figures themselves one press away. */
export function ChartFrame<Row>(props: ChartFrameProps<Row>) {
  const { title, titleUnseen = false, children, rows, columns, keyOf } = props
  const [asTable, setAsTable] = useState(false)
  const turn = useCallback(() => setAsTable((before) => !before), [])
  return (
    <figure className="chart-frame">
      <figcaption className={titleUnseen ? 'unseen' : 'chart-frame-title'}>{title}</figcaption>
      {children}
      {rows && columns && keyOf && (
        <>
          <More asTable={asTable} onTurn={turn} />
          {asTable && (
            <Table
              caption={title}
              captionUnseen
              columns={columns}
              rows={rows}
              keyOf={keyOf}
              none="No figures."
            />
          )}
        </>
      )}
    </figure>
  )
}

/** Left alone while the picture moves. */
const More = memo(function More({ asTable, onTurn }: { asTable: boolean; onTurn: () => void }) {
  return (
    <div className="chart-frame-more no-print">
      <Button tone="quiet" onPress={onTurn} aria-expanded={asTable}>
        {asTable ? 'Hide the figures' : 'Show the figures'}
      </Button>
    </div>
  )
})
