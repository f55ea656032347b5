import { memo, type RefObject, useCallback, useEffect, useRef, useState } from 'react'
import { Button } from '../../parts/button.tsx'
import { Choice } from '../../parts/choice.tsx'
import { BenchDial, useSetters } from './bench-dial.tsx'
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
  /** Changes the bench as it then stands; the same function always. */
  readonly onChange: (change: (bench: Bench) => Bench) => void
}

/** The dials of the set-up in hand and of the breath, and the ways to what has no dial. */
export function Controls({ bench, cups, chosen, live, onChoose, onChange }: ControlsProps) {
  const { setups, patient } = bench
  const [dials, goToDials] = useFocusAfter(`${chosen} of ${setups.length}`)
  const changeSetup = useCallback(
    (change: Partial<BenchSetup>) => onChange((now) => withSetup(now, chosen, change)),
    [onChange, chosen],
  )
  const changePatient = useCallback(
    (change: Partial<BenchPatient>) =>
      onChange((now) => ({ ...now, patient: { ...now.patient, ...change } })),
    [onChange],
  )
  const setup = setups[chosen]
  if (!setup) return null
  return (
    <div className="bench-controls stack">
      <Live live={live} />
      <SetupPart place={dials} setup={setup} letter={letterAt(chosen)} cups={cups} onChange={changeSetup} />
      <HowMany
        chosen={chosen}
        count={setups.length}
        onMoved={goToDials}
        onChoose={onChoose}
        onChange={onChange}
      />
      <hr className="rule" />
      <PatientPart patient={patient} onChange={changePatient} />
    </div>
  )
}

type HowManyProps = Pick<ControlsProps, 'chosen' | 'onChoose' | 'onChange'> & {
  readonly count: number
  readonly onMoved: () => void
}

/** Puts another set-up beside the one in hand, or takes that one away. */
const HowMany = memo(function HowMany({ chosen, count, onMoved, onChoose, onChange }: HowManyProps) {
  const more = () => {
    onMoved()
    onChange((now) => ({ ...now, setups: [...now.setups, ...now.setups.slice(chosen, chosen + 1)] }))
    onChoose(count)
  }
  const fewer = () => {
    onMoved()
    onChange((now) => ({ ...now, setups: now.setups.filter((_, at) => at !== chosen) }))
    onChoose(Math.max(0, chosen - 1))
  }
  return (
    <div className="row">
      {count < LETTERS.length && <Button onPress={more}>Put one beside it</Button>}
      {count > FEWEST && <Button onPress={fewer}>Take {letterAt(chosen)} away</Button>}
    </div>
  )
})

/** After the next change of `what` the focus goes to the place: the button that was pressed may be gone by then. */
function useFocusAfter(what: string): [RefObject<HTMLElement | null>, () => void] {
  const place = useRef<HTMLElement>(null)
  const wanted = useRef(false)
  // biome-ignore lint/correctness/useExhaustiveDependencies: the change itself is what is waited for
  useEffect(() => {
    if (wanted.current) place.current?.focus({ preventScroll: true })
    wanted.current = false
  }, [what])
  const want = useCallback(() => {
    wanted.current = true
  }, [])
  return [place, want]
}

type SetupPartProps = {
  readonly place: RefObject<HTMLElement | null>
  readonly setup: BenchSetup
  readonly letter: string
  readonly cups: readonly BenchCup[]
  readonly onChange: (change: Partial<BenchSetup>) => void
}

function SetupPart({ place, setup, letter, cups, onChange }: SetupPartProps) {
  const [open, setOpen] = useState<boolean | null>(null)
  const openSheet = useCallback(() => setOpen(true), [])
  const set = useSetters(onChange)
  const cup = cups.find(({ id }) => id === setup.cupId)
  const needsGas = cup?.ratedFlowLPerMin !== null
  return (
    <section className="stack" aria-label={`Dials of set-up ${letter}`} ref={place} tabIndex={-1}>
      <div className="bench-dials">
        {needsGas && (
          <BenchDial
            range={SETUP_RANGES.flowLPerMin}
            value={setup.flowLPerMin}
            onChange={set('flowLPerMin')}
          />
        )}
        <BenchDial range={SETUP_RANGES.fillMl} value={setup.fillMl} onChange={set('fillMl')} />
        <BenchDial range={SETUP_RANGES.reservoirMl} value={setup.reservoirMl} onChange={set('reservoirMl')} />
        {setup.interface === 'mask held off' && (
          <BenchDial range={SETUP_RANGES.distanceCm} value={setup.distanceCm} onChange={set('distanceCm')} />
        )}
      </div>
      <Kind
        words={`${cup?.name}, ${setup.interface}${needsGas ? `, ${setup.gas}` : ''}, breathed by ${setup.breathesBy}`}
        onOpen={openSheet}
      />
      {open !== null && (
        <SetupSheet
          letter={letter}
          setup={setup}
          cups={cups}
          needsGas={needsGas}
          isOpen={open}
          onClose={() => setOpen(false)}
          onChange={onChange}
        />
      )}
    </section>
  )
}

/** What the set-up is that no dial moves, and the way to change it. */
const Kind = memo(function Kind({ words, onOpen }: { words: string; onOpen: () => void }) {
  return (
    <div className="row row-apart bench-kind">
      <p>{words}</p>
      <Button onPress={onOpen}>Change cup, interface, gas</Button>
    </div>
  )
})

type PatientPartProps = {
  readonly patient: BenchPatient
  readonly onChange: (change: Partial<BenchPatient>) => void
}

const PatientPart = memo(function PatientPart({ patient, onChange }: PatientPartProps) {
  const [open, setOpen] = useState(false)
  const set = useSetters(onChange)
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
        <BenchDial range={PATIENT_RANGES.tidalMl} value={patient.tidalMl} onChange={set('tidalMl')} />
        <BenchDial
          range={PATIENT_RANGES.ratePerMin}
          value={patient.ratePerMin}
          onChange={set('ratePerMin')}
        />
        <BenchDial range={PATIENT_RANGES.outPerIn} value={patient.outPerIn} onChange={set('outPerIn')} />
        {patient.weightKg !== null && (
          <BenchDial range={PATIENT_RANGES.weightKg} value={patient.weightKg} onChange={set('weightKg')} />
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
})
