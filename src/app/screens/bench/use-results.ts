import { useDeferredValue, useMemo } from 'react'
import type { Calibration } from '../../../clinical/aerosol/calibrate.ts'
import { type BenchCup, type BenchResult, benchResult } from './bench-result.ts'
import { type Bench, type BenchPatient, type BenchSetup, letterAt } from './bench-state.ts'

/** A set-up as it is shown: with its letter, its cup and what it does. */
export type Shown = {
  readonly letter: string
  readonly setup: BenchSetup
  readonly cup: BenchCup
  readonly result: BenchResult
}

type Learned = (cupId: string) => Calibration | undefined

export type Results = { readonly patient: BenchPatient; readonly shown: readonly Shown[] }

/**
 * What every set-up does. It follows the dials as fast as it can without holding them up, and works out again only
 * the set-ups that changed.
 */
export function useResults(bench: Bench, cups: readonly BenchCup[], learned: Learned): Results {
  const steady = useDeferredValue(bench)
  const { patient, setups } = steady
  const a = useShown(0, setups[0], patient, cups, learned)
  const b = useShown(1, setups[1], patient, cups, learned)
  const c = useShown(2, setups[2], patient, cups, learned)
  const d = useShown(3, setups[3], patient, cups, learned)
  return useMemo(
    () => ({ patient, shown: [a, b, c, d].filter((each) => each !== null) }),
    [patient, a, b, c, d],
  )
}

function useShown(
  at: number,
  setup: BenchSetup | undefined,
  patient: BenchPatient,
  cups: readonly BenchCup[],
  learned: Learned,
): Shown | null {
  return useMemo(() => {
    const cup = cups.find(({ id }) => id === setup?.cupId)
    if (!setup || !cup) return null
    return { letter: letterAt(at), setup, cup, result: benchResult(setup, patient, cup, learned(cup.id)) }
  }, [at, setup, patient, cups, learned])
}
