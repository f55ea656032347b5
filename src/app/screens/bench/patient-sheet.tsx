import { asOptions } from '../../parts/as-options.ts'
import { Button } from '../../parts/button.tsx'
import { Choice } from '../../parts/choice.tsx'
import { NumberEntry } from '../../parts/number-entry.tsx'
import { Sheet } from '../../parts/sheet.tsx'
import { BenchDial } from './bench-dial.tsx'
import { DOSE_RULE, PATIENT_RANGES } from './bench-ranges.ts'
import { type BenchPatient, FORMS, LUNGS } from './bench-state.ts'

type PatientSheetProps = {
  readonly patient: BenchPatient
  readonly isOpen: boolean
  readonly onClose: () => void
  readonly onChange: (change: Partial<BenchPatient>) => void
}

/** What the set-ups share and what seldom changes: dose, lungs, oxygen besides, room. */
export function PatientSheet({ patient, isOpen, onClose, onChange }: PatientSheetProps) {
  return (
    <Sheet
      title="Dose, lungs, room"
      isOpen={isOpen}
      onClose={onClose}
      foot={
        <Button tone="primary" gloved onPress={onClose}>
          Back to the bench
        </Button>
      }
    >
      <div className="stack stack-wide">
        <NumberEntry
          rule={DOSE_RULE}
          value={patient.doseMg}
          onChange={(doseMg) => doseMg !== null && onChange({ doseMg })}
        />
        <Choice
          label="Medicine"
          options={asOptions(FORMS)}
          value={patient.form}
          onChange={(form) => onChange({ form })}
        />
        <Choice
          label="Lungs"
          options={asOptions(LUNGS)}
          value={patient.lungs}
          onChange={(lungs) => onChange({ lungs })}
        />
        <BenchDial
          range={PATIENT_RANGES.cannulaLPerMin}
          value={patient.cannulaLPerMin}
          onChange={(cannulaLPerMin) => onChange({ cannulaLPerMin })}
        />
        <BenchDial
          range={PATIENT_RANGES.roomCel}
          value={patient.roomCel}
          onChange={(roomCel) => onChange({ roomCel })}
        />
        <BenchDial
          range={PATIENT_RANGES.pressureKPa}
          value={patient.pressureKPa}
          onChange={(pressureKPa) => onChange({ pressureKPa })}
        />
      </div>
    </Sheet>
  )
}
