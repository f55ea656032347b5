import { type RefObject, useEffect, useRef, useState } from 'react'
import { Button } from '../../parts/button.tsx'
import { Choice } from '../../parts/choice.tsx'
import { BenchDial } from './bench-dial.tsx'
import { PATIENT_RANGES, SETUP_RANGES } from './bench-ranges.ts'
import type { BenchCup } from './bench-result.ts'
import {
  type Bench,
  type BenchPatient,
  type BenchSetup,
  FEWEST,
  LETTERS,
  letterAt,
  withSetup,
} from './bench-state.ts'
import { Live } from './live.tsx'
import { PatientSheet } from './patient-sheet.tsx'
import { PRESETS, presetOf } from './presets.ts'
import { SetupSheet } from './setup-sheet.tsx'
import type { Shown } from './use-results.ts'

type ControlsProps = {
  readonly bench: Bench
  readonly cups: readonly BenchCup[]
  readonly chosen: number
  /** What the set-up in hand does, to be seen while its dials are moved. */
  readonly live: Shown | null
  readonly onChoose: (at: number) => void
  readonly onChange: (bench: Bench) => void
}

/** The dials of the set-up in hand and of the breath, and the ways to what has no dial. */
export function Controls({ bench, cups, chosen, live, onChoose, onChange }: ControlsProps) {
  const { setups, patient } = bench
  const [dials, goToDials] = useFocusAfter(`${chosen} of ${setups.length}`)
  const setup = setups[chosen]
  if (!setup) return null
  const more = () => {
    goToDials()
    onChange({ ...bench, setups: [...setups, setup] })
    onChoose(setups.length)
  }
  const fewer = () => {
    goToDials()
    onChange({ ...bench, setups: setups.filter((_, at) => at !== chosen) })
    onChoose(Math.max(0, chosen - 1))
  }
  return (
    <div className="bench-controls stack">
      <Live live={live} />
      <SetupPart
        place={dials}
        setup={setup}
        letter={letterAt(chosen)}
        cups={cups}
        onChange={(change) => onChange(withSetup(bench, chosen, change))}
      />
      <div className="row">
        {setups.length < LETTERS.length && <Button onPress={more}>Put one beside it</Button>}
        {setups.length > FEWEST && <Button onPress={fewer}>Take {letterAt(chosen)} away</Button>}
      </div>
      <hr className="rule" />
      <PatientPart
        patient={patient}
        onChange={(change) => onChange({ ...bench, patient: { ...patient, ...change } })}
      />
    </div>
  )
}

/** After the next change of `what` the focus goes to the place: the button that was pressed may be gone by then. */
function useFocusAfter(what: string): [RefObject<HTMLElement | null>, () => void] {
  const place = useRef<HTMLElement>(null)
  const wanted = useRef(false)
  // biome-ignore lint/correctness/useExhaustiveDependencies: the change itself is what is waited for
  useEffect(() => {
    if (wanted.current) place.current?.focus({ preventScroll: true })
    wanted.current = false
  }, [what])
  return [
    place,
    () => {
      wanted.current = true
    },
  ]
}

type SetupPartProps = {
  readonly place: RefObject<HTMLElement | null>
  readonly setup: BenchSetup
  readonly letter: string
  readonly cups: readonly BenchCup[]
  readonly onChange: (change: Partial<BenchSetup>) => void
}

function SetupPart({ place, setup, letter, cups, onChange }: SetupPartProps) {
  const [open, setOpen] = useState(false)
  const cup = cups.find(({ id }) => id === setup.cupId)
  const needsGas = cup?.ratedFlowLPerMin !== null
  return (
    <section className="stack" aria-label={`Dials of set-up ${letter}`} ref={place} tabIndex={-1}>
      <div className="bench-dials">
        {needsGas && (
          <BenchDial
            range={SETUP_RANGES.flowLPerMin}
            value={setup.flowLPerMin}
            onChange={(flowLPerMin) => onChange({ flowLPerMin })}
          />
        )}
        <BenchDial
          range={SETUP_RANGES.fillMl}
          value={setup.fillMl}
          onChange={(fillMl) => onChange({ fillMl })}
        />
        <BenchDial
          range={SETUP_RANGES.reservoirMl}
          value={setup.reservoirMl}
          onChange={(reservoirMl) => onChange({ reservoirMl })}
        />
        {setup.interface === 'mask held off' && (
          <BenchDial
            range={SETUP_RANGES.distanceCm}
            value={setup.distanceCm}
            onChange={(distanceCm) => onChange({ distanceCm })}
          />
        )}
      </div>
      <div className="row row-apart bench-kind">
        <p>
          {cup?.name}, {setup.interface}
          {needsGas && `, ${setup.gas}`}, breathed by {setup.breathesBy}
        </p>
        <Button onPress={() => setOpen(true)}>Change cup, interface, gas</Button>
      </div>
      <SetupSheet
        letter={letter}
        setup={setup}
        cups={cups}
        needsGas={needsGas}
        isOpen={open}
        onClose={() => setOpen(false)}
        onChange={onChange}
      />
    </section>
  )
}

type PatientPartProps = {
  readonly patient: BenchPatient
  readonly onChange: (change: Partial<BenchPatient>) => void
}

function PatientPart({ patient, onChange }: PatientPartProps) {
  const [open, setOpen] = useState(false)
  return (
    <section className="stack" aria-label="The patient's breath">
      <Choice
        label="Breathes like"
        hint="A place to start; the patient's own breath is better."
        options={PRESETS}
        value={presetOf(patient)}
        onChange={(value) => onChange(PRESETS.find((preset) => preset.value === value)?.breathing ?? {})}
        tileRem={8}
      />
      <div className="bench-dials">
        <BenchDial
          range={PATIENT_RANGES.tidalMl}
          value={patient.tidalMl}
          onChange={(tidalMl) => onChange({ tidalMl })}
        />
        <BenchDial
          range={PATIENT_RANGES.ratePerMin}
          value={patient.ratePerMin}
          onChange={(ratePerMin) => onChange({ ratePerMin })}
        />
        <BenchDial
          range={PATIENT_RANGES.outPerIn}
          value={patient.outPerIn}
          onChange={(outPerIn) => onChange({ outPerIn })}
        />
        {patient.weightKg !== null && (
          <BenchDial
            range={PATIENT_RANGES.weightKg}
            value={patient.weightKg}
            onChange={(weightKg) => onChange({ weightKg })}
          />
        )}
      </div>
      <div className="row row-apart bench-kind">
        <p>
          {patient.doseMg} mg as a {patient.form}, room {patient.roomCel} °C
        </p>
        <Button onPress={() => setOpen(true)}>Change dose, lungs, room</Button>
      </div>
      <PatientSheet patient={patient} isOpen={open} onClose={() => setOpen(false)} onChange={onChange} />
    </section>
  )
}
