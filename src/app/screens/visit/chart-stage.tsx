import { useState } from 'react'
import { noteHeads, noteInForce } from '../../../chart/folds/visit.ts'
import { composeNote, signatureHash } from '../../../chart/note.ts'
import { Button } from '../../parts/button.tsx'
import { Sheet } from '../../parts/sheet.tsx'
import { Strip } from '../../parts/strip.tsx'
import { TextEntry } from '../../parts/text-entry.tsx'
import { useDesk } from './desk.ts'

/** The note as it wrote itself: read, edited, signed; or the signed one with its corrections and signatures. */
export function ChartStage() {
  return useDesk().visit.note ? <SignedNote /> : <UnsignedNote />
}

function UnsignedNote() {
  const desk = useDesk()
  const { visit, me, act, clock } = desk
  const composed = composeNote(desk, clock)
  const [text, setText] = useState(composed)
  const sign = () =>
    act('note-signed', {
      composed,
      text: text.trim(),
      meaning: visit.notGiven ? 'did not give' : 'gave',
      printedName: me.name,
      contentHash: signatureHash(text.trim(), visit.factIds),
      covers: [...visit.factIds],
    })
  return (
    <div className="stack">
      <TextEntry
        label="The note"
        hint="It wrote itself from what was recorded. Read it, change what is not right, sign."
        lines={16}
        value={text}
        onChange={setText}
      />
      {me.role === 'learner' && <Strip kind="note">A learner’s note waits for a second signature.</Strip>}
      <div className="row row-apart">
        <Button isDisabled={text === composed} onPress={() => setText(composed)}>
          As composed
        </Button>
        <Button tone="primary" gloved isDisabled={text.trim() === ''} onPress={sign}>
          Sign as {me.name}
        </Button>
      </div>
    </div>
  )
}

function SignedNote() {
  const { visit, me, act, clock } = useDesk()
  const [correcting, setCorrecting] = useState(false)
  const { note } = visit
  if (!note) return null
  const current = noteInForce(note)
  const newest = note.corrections.at(-1) ?? note.signed
  const isLearners = note.signed.by.role === 'learner'
  const waitsForCosign =
    note.needsCosign || (isLearners && note.notCosigned.some(({ factId }) => factId === newest.factId))
  const mayCosign = waitsForCosign && me.role !== 'learner' && me.personId !== note.signed.by.personId
  const cosign = () => {
    const covers = [newest.factId]
    return act('note-cosigned', {
      signs: note.signed.factId,
      note: '',
      printedName: me.name,
      contentHash: signatureHash(current.text, covers),
      covers,
    })
  }
  return (
    <div className="stack">
      <NoteText
        title="In force"
        text={current.text}
        by={`${current.name}, ${clock(current.at)}, ${note.signed.body.meaning}`}
      />
      {note.corrections.length > 0 && (
        <details>
          <summary>
            As first signed, and {note.corrections.length} correction{note.corrections.length > 1 ? 's' : ''}
          </summary>
          <NoteText
            title="First signed"
            text={note.signed.body.text}
            by={`${note.signed.body.printedName}, ${clock(note.signed.at)}`}
          />
          {note.corrections.map((correction) => (
            <NoteText
              key={correction.factId}
              title={`Corrected: ${correction.body.reason}`}
              text={correction.body.text}
              by={`${correction.body.printedName}, ${clock(correction.at)}`}
            />
          ))}
        </details>
      )}
      {note.cosigned && (
        <p className="quiet">
          Co-signed by {note.cosigned.body.printedName}, {clock(note.cosigned.at)}
          {waitsForCosign ? '; the correction is not covered by it.' : '.'}
        </p>
      )}
      {waitsForCosign && !mayCosign && (
        <Strip kind="caution" word="Waits for a co-signature">
          by a therapist, a lead or an educator.
        </Strip>
      )}
      <div className="row row-apart">
        {me.role !== 'prescriber' && <Button onPress={() => setCorrecting(true)}>Correct it</Button>}
        {mayCosign && (
          <Button tone="primary" gloved onPress={cosign}>
            Co-sign as {me.name}
          </Button>
        )}
      </div>
      <CorrectSheet
        isOpen={correcting}
        onClose={() => setCorrecting(false)}
        text={current.text}
        corrects={newest.factId}
        covers={noteHeads(note)}
      />
    </div>
  )
}

function NoteText({
  title,
  text,
  by,
}: {
  readonly title: string
  readonly text: string
  readonly by: string
}) {
  return (
    <article className="note-text">
      <h3>{title}</h3>
      {text.split('\n\n').map((paragraph) => (
        <p key={paragraph}>{paragraph}</p>
      ))}
      <p className="quiet small">{by}</p>
    </article>
  )
}

type CorrectSheetProps = {
  readonly isOpen: boolean
  readonly onClose: () => void
  readonly text: string
  readonly corrects: string
  /** All that this correction is written over: several, when the note was corrected on two devices. */
  readonly covers: readonly string[]
}

/** A correction is a new entry: the new text, why, by whom. What was signed stays readable. */
function CorrectSheet({ isOpen, onClose, text: signed, corrects, covers }: CorrectSheetProps) {
  const { me, act } = useDesk()
  const [text, setText] = useState(signed)
  const [reason, setReason] = useState('')
  const keep = async () => {
    await act(
      'note-corrected',
      {
        text: text.trim(),
        reason: reason.trim(),
        printedName: me.name,
        contentHash: signatureHash(text.trim(), covers),
        covers: [...covers],
      },
      { corrects },
    )
    onClose()
  }
  const ready = reason.trim().length >= 3 && text.trim() !== '' && text.trim() !== signed.trim()
  return (
    <Sheet
      title="Correct the signed note"
      isOpen={isOpen}
      onClose={onClose}
      foot={
        <Button tone="primary" gloved isDisabled={!ready} onPress={keep}>
          Sign the correction as {me.name}
        </Button>
      }
    >
      <div className="stack">
        <p>What was signed stays readable. This becomes a new entry beside it.</p>
        <TextEntry label="The note, corrected" lines={12} value={text} onChange={setText} />
        <TextEntry
          label="Why it is corrected"
          hint="Needed: another person must be able to understand it."
          value={reason}
          onChange={setReason}
        />
      </div>
    </Sheet>
  )
}
