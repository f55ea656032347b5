import { useState } from 'react'
import type { SettleItem } from '../../../chart/folds/settle.ts'
import type { BodyOf } from '../../../chart/registry.ts'
import { useRecord } from '../../local/hooks.ts'
import { Button } from '../../parts/button.tsx'
import { Choice } from '../../parts/choice.tsx'
import { MultiChoice } from '../../parts/multi-choice.tsx'
import { Sheet } from '../../parts/sheet.tsx'
import { TextEntry } from '../../parts/text-entry.tsx'
import { Sides } from './sides.tsx'

type Decision = BodyOf<'finding-answered'>['decision']
type How = BodyOf<'item-settled'>['how']

const DECISIONS: readonly { value: Decision; label: string; note: string }[] = [
  { value: 'go-ahead', label: 'Go ahead', note: 'give it as ordered' },
  { value: 'do-not-give', label: 'Do not give', note: 'until the order is changed' },
  { value: 'changed-at-source', label: 'Order is being changed', note: 'a new message will come' },
]
type HowChoice = { readonly value: How; readonly label: string; readonly note?: string }
const HOWS: readonly HowChoice[] = [
  { value: 'order-corrected-at-source', label: 'Sender sends it again, corrected' },
  { value: 'entered-by-hand', label: 'Entered by hand' },
  { value: 'not-for-us', label: 'Not for us' },
  { value: 'answered', label: 'Answered' },
]

/** A message of ours is written anew from what stands, or left: then its receiver learns it in another way, or not. */
const OUTGOING_HOWS: readonly HowChoice[] = [
  { value: 'sent-again', label: 'Send again' },
  { value: 'set-aside', label: 'Set aside' },
]

/** Two facts that do not go together both stay; what is settled is what happened. */
const QUESTION_HOWS: readonly HowChoice[] = [
  { value: 'answered', label: 'Cleared up', note: 'with who was there' },
  { value: 'accepted-with-reason', label: 'Both are so', note: 'and somebody was told' },
]

const HOWS_OF: Readonly<Record<Exclude<SettleItem['kind'], 'finding'>, readonly HowChoice[]>> = {
  message: HOWS,
  outgoing: OUTGOING_HOWS,
  question: QUESTION_HOWS,
}

/** Brings an open item to an end: by whose word, what was decided, in words another person can understand. */
export function AnswerSheet({
  item,
  onClose,
}: {
  readonly item: SettleItem | null
  readonly onClose: () => void
}) {
  return (
    <Sheet title={item?.title ?? ''} isOpen={item !== null} onClose={onClose}>
      {item && (
        <div className="stack">
          <p className="strong">{item.what || 'It could not be read.'}</p>
          <p>{item.why}</p>
          {item.sides && <Sides sides={item.sides} />}
          {item.sources.length > 0 && <p className="quiet small">{item.sources.join(' · ')}</p>}
          {item.kind === 'finding' ? (
            <Finding item={item} onDone={onClose} />
          ) : (
            <Other item={item} hows={HOWS_OF[item.kind]} onDone={onClose} />
          )}
          {item.raw !== undefined && (
            <details>
              <summary>
                {item.kind === 'outgoing' ? 'The message as it was sent' : 'The message as it came'}
              </summary>
              <pre className="settle-raw">{item.raw.replaceAll('\r', '\n')}</pre>
            </details>
          )}
        </div>
      )}
    </Sheet>
  )
}

type PartProps = { readonly item: SettleItem; readonly onDone: () => void }

function Finding({ item, onDone }: PartProps) {
  const record = useRecord()
  const [decision, setDecision] = useState<Decision | null>(null)
  const [word, setWord] = useState('')
  const [note, setNote] = useState('')
  const [readBack, setReadBack] = useState<readonly 'read-back'[]>([])
  const ready = decision !== null && word.trim() !== '' && note.trim() !== ''
  const keep = async () => {
    if (decision === null || item.patientId === null || item.orderId === null) return
    const code = item.id.split(':').slice(2).join(':')
    await record(
      'finding-answered',
      { patientId: item.patientId, orderId: item.orderId },
      { code, decision, onWordOf: word.trim(), readBack: readBack.length > 0, note: note.trim() },
    )
    onDone()
  }
  return (
    <>
      <Choice
        label="What was decided"
        tileRem={13}
        options={DECISIONS}
        value={decision}
        onChange={setDecision}
      />
      <TextEntry label="On whose word" value={word} onChange={setWord} />
      <TextEntry label="What was said" lines={3} value={note} onChange={setNote} />
      <MultiChoice
        label="Over the telephone"
        labelUnseen
        options={[{ value: 'read-back', label: 'Read back and confirmed' }]}
        value={readBack}
        onChange={setReadBack}
      />
      <Button tone="primary" gloved isDisabled={!ready} onPress={keep}>
        Keep the answer
      </Button>
    </>
  )
}

function Other({ item, hows, onDone }: PartProps & { readonly hows: readonly HowChoice[] }) {
  const record = useRecord()
  const [how, setHow] = useState<How | null>(null)
  const [note, setNote] = useState('')
  const keep = async () => {
    if (how === null) return
    // The message is named, so that whoever sends it finds that it was asked for.
    const about = item.messageId === undefined ? {} : { messageId: item.messageId }
    await record('item-settled', about, { item: item.id, how, note: note.trim() })
    onDone()
  }
  return (
    <>
      <Choice label="How it ends" tileRem={13} options={hows} value={how} onChange={setHow} />
      <TextEntry label="In words another person can understand" lines={3} value={note} onChange={setNote} />
      <Button tone="primary" gloved isDisabled={how === null || note.trim() === ''} onPress={keep}>
        Settled
      </Button>
    </>
  )
}
