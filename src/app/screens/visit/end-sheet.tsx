import { useState } from 'react'
import type { BodyOf } from '../../../chart/registry.ts'
import { givenWhenEnded } from '../../../chart/stages/given.ts'
import { Button } from '../../parts/button.tsx'
import { NumberEntry } from '../../parts/number-entry.tsx'
import { Sheet } from '../../parts/sheet.tsx'
import { TextEntry } from '../../parts/text-entry.tsx'
import { useDesk } from './desk.ts'
import type { RuleFor } from './number-rules.ts'

type EndSheetProps = {
  readonly how: BodyOf<'treatment-ended'>['how'] | null
  readonly onClose: () => void
  readonly rules: RuleFor
}

/** The end of the run: what was left in the cup, and so what left it; after a stop, who was told and what is next. */
export function EndSheet({ how, onClose, rules }: EndSheetProps) {
  const { visit, act } = useDesk()
  const [leftMl, setLeftMl] = useState<number | null>(null)
  const [told, setTold] = useState('')
  const [next, setNext] = useState('')
  const stopped = how === 'stopped'
  const totalMl = visit.prepared?.body.totalMl ?? 0
  const given = visit.prepared ? givenWhenEnded(visit.prepared.body, leftMl) : []
  const keep = async () => {
    if (!how) return
    await act('treatment-ended', { how, leftMl, given: [...given], told: told.trim(), next: next.trim() })
    onClose()
  }
  return (
    <Sheet
      title={stopped ? 'Stopped' : 'Finished'}
      isOpen={how !== null}
      onClose={onClose}
      place="middle"
      foot={
        <Button tone={stopped ? 'halt' : 'primary'} gloved onPress={keep}>
          {stopped ? 'The treatment is stopped' : 'It sputtered: end the run'}
        </Button>
      }
    >
      <div className="stack">
        {stopped && <p className="voice">Gas off, interface off. Stay with the patient.</p>}
        <NumberEntry
          rule={{ ...rules('leftMl'), possible: { low: 0, high: totalMl } }}
          value={leftMl}
          onChange={(value) => setLeftMl(value)}
          remarks={[`${totalMl} mL went in`, 'leave it if not measured']}
        />
        {given
          .filter(({ outOfCup }) => outOfCup !== null)
          .map(({ medicineId, text, outOfCup, unit }) => (
            <p key={medicineId} className="quiet">
              At most {outOfCup} {unit} of {text} left the cup. Less, because water leaves faster than
              medicine.
            </p>
          ))}
        {stopped && (
          <>
            <TextEntry label="Who was told" value={told} onChange={setTold} />
            <TextEntry label="What is done next" value={next} onChange={setNext} />
          </>
        )}
      </div>
    </Sheet>
  )
}
