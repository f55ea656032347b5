import { useState } from 'react'
import { Button } from '../../parts/button.tsx'
import { Choice } from '../../parts/choice.tsx'
import { Sheet } from '../../parts/sheet.tsx'
import type { ColumnPicture } from '../../planning/column-picture.ts'

type HandAllSheetProps = {
  readonly columns: readonly ColumnPicture[]
  /** Whose visits are handed over; null while nobody's are. */
  readonly from: string | null
  readonly onClose: () => void
  /** To one other person, or (null) to whomever it fits. */
  readonly onHand: (from: string, to: string | null) => void
}

const EVERYBODY = 'everybody'

/** Everything that somebody still has to do, handed over: the way without dragging. */
export function HandAllSheet({ columns, from, onClose, onHand }: HandAllSheetProps) {
  const [to, setTo] = useState(EVERYBODY)
  const name = columns.find(({ id }) => id === from)?.name ?? ''
  const others = columns.filter(({ id }) => id !== from)
  const options = [
    { value: EVERYBODY, label: 'Whomever it fits', note: 'spread among the others' },
    ...others.map(({ id, name: other, words }) => ({ value: id, label: other, note: words })),
  ]
  return (
    <Sheet title={`Hand over all of ${name}`} isOpen={from !== null} onClose={onClose}>
      <div className="stack">
        <p className="quiet">What has begun, or begins in the next minutes, stays.</p>
        <Choice label="To whom" options={options} value={to} onChange={setTo} tileRem={12} />
        <Button
          tone="primary"
          gloved
          onPress={() => {
            if (from !== null) onHand(from, to === EVERYBODY ? null : to)
            onClose()
          }}
        >
          See what it brings
        </Button>
      </div>
    </Sheet>
  )
}
