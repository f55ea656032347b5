import { useState } from 'react'
import { NOT_GIVEN_REASONS } from '../../../chart/facts/visit.ts'
import type { BodyOf } from '../../../chart/registry.ts'
import { asOptions } from '../../parts/as-options.ts'
import { Button } from '../../parts/button.tsx'
import { Choice } from '../../parts/choice.tsx'
import { Sheet } from '../../parts/sheet.tsx'
import { TextEntry } from '../../parts/text-entry.tsx'

type NotGiven = BodyOf<'dose-not-given'>
const NEXT: readonly NotGiven['next'][] = [
  'try again later',
  'next dose as due',
  'prescriber asked',
  'order to be settled',
  'none needed',
]

type NotGivenSheetProps = {
  readonly isOpen: boolean
  readonly onClose: () => void
  readonly onKeep: (said: Omit<NotGiven, 'doseAt'>) => void
}

/** A dose not given is charted like one given: why, what happens next, who was told. */
export function NotGivenSheet({ isOpen, onClose, onKeep }: NotGivenSheetProps) {
  const [reason, setReason] = useState<NotGiven['reason'] | null>(null)
  const [next, setNext] = useState<NotGiven['next'] | null>(null)
  const [note, setNote] = useState('')
  const [told, setTold] = useState('')
  const ready = reason !== null && next !== null && (reason !== 'other' || note.trim() !== '')
  return (
    <Sheet
      title="Not given"
      isOpen={isOpen}
      onClose={onClose}
      foot={
        <Button
          tone="primary"
          gloved
          isDisabled={!ready}
          onPress={() => reason && next && onKeep({ reason, next, note: note.trim(), told: told.trim() })}
        >
          Chart as not given
        </Button>
      }
    >
      <div className="stack">
        <Choice
          label="Why"
          tileRem={13}
          options={asOptions(NOT_GIVEN_REASONS)}
          value={reason}
          onChange={setReason}
        />
        <Choice
          label="What happens next"
          tileRem={13}
          options={asOptions(NEXT)}
          value={next}
          onChange={setNext}
        />
        <TextEntry
          label={reason === 'other' ? 'In your words (needed)' : 'In your words'}
          lines={2}
          value={note}
          onChange={setNote}
        />
        <TextEntry label="Who was told" value={told} onChange={setTold} />
      </div>
    </Sheet>
  )
}
