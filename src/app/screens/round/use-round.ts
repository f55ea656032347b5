import { useMemo } from 'react'
import { type Dose, dosesWithStatus } from '../../../chart/folds/doses.ts'
import { shiftAt } from '../../../chart/folds/staff.ts'
import { useDueDoses } from '../../hospital/index.ts'
import { useChart, useClock, useLaterRevision } from '../../local/hooks.ts'
import { capital, counted, inWords } from '../../planning/in-words.ts'

export type RoundView = {
  readonly doses: readonly Dose[]
  readonly running: readonly Dose[]
  readonly units: readonly string[]
  readonly shiftWords: string
  /** The stretch of time that a dose's bracket is drawn on. */
  readonly scale: (dose: Dose) => { readonly from: number; readonly to: number }
}

const HOUR = 3_600_000

/** The doses of the present shift, of one person's units or (null) of all, with what became of each. */
export function useRound(personId: string | null, now: string): RoundView {
  const chart = useChart()
  const clock = useClock()
  const dueDoses = useDueDoses()
  // Doses change with the minute, not with every tick of the clock.
  const minute = now.slice(0, 16)
  const revision = useLaterRevision()
  // biome-ignore lint/correctness/useExhaustiveDependencies: the chart stays the same object; its revision tells of change
  return useMemo(() => {
    const at = `${minute}:00.000Z`
    const person = personId === null ? null : chart.person(personId)
    const shift = person ? shiftAt(person, at) : null
    const from = shift?.from ?? new Date(Date.parse(at) - 2 * HOUR).toISOString()
    const to = shift?.to ?? new Date(Date.parse(at) + 10 * HOUR).toISOString()
    const units = shift?.units ?? []
    const inScope = (dose: Dose) =>
      units.length === 0 || units.includes(chart.patient(dose.patientId).place?.unit ?? '')
    const doses = dosesWithStatus(chart, dueDoses(from, to), at).filter(inScope)
    return {
      doses,
      running: doses.filter(({ status }) => status === 'running' || status === 'to sign'),
      units,
      shiftWords: shift ? `Shift until ${clock(shift.to)}` : 'No shift assigned; the next ten hours',
      scale: ({ window, latest }) => ({
        from: Date.parse(window.earliest) - HOUR / 4,
        to: Date.parse(latest) + HOUR / 4,
      }),
    }
  }, [chart, revision, clock, dueDoses, minute, personId])
}

/** How a dose stands, as its mark and its words say it. */
export function standing(
  dose: Dose,
  now: string,
): { readonly state: 'on time' | 'tight' | 'late'; readonly words: string } {
  const lateMinutes = Math.round((Date.parse(now) - Date.parse(dose.window.onTimeUntil)) / 60_000)
  switch (dose.status) {
    case 'missed':
      return { state: 'late', words: `missed by ${lateMinutes} min: chart why` }
    case 'late':
      return { state: 'late', words: `${lateMinutes} min late` }
    case 'due':
      return -lateMinutes <= 20
        ? { state: 'tight', words: `window closes in ${-lateMinutes} min` }
        : { state: 'on time', words: 'due now' }
    case 'coming': {
      const minutes = Math.round((Date.parse(dose.window.earliest) - Date.parse(now)) / 60_000)
      return {
        state: 'on time',
        words:
          minutes < 60
            ? `opens in ${minutes} min`
            : `opens in ${Math.floor(minutes / 60)} h ${minutes % 60} min`,
      }
    }
    default:
      return { state: 'on time', words: dose.status }
  }
}

/** The round in one sentence: "Nine visits left. Two due now, one late." */
export function roundSentence(waiting: readonly Dose[]): string {
  const count = (status: Dose['status']) => waiting.filter((dose) => dose.status === status).length
  const left = `${capital(counted(waiting.length, 'visit'))} left.`
  const said = [
    [count('due'), 'due now'],
    [count('late'), 'late'],
    [count('missed'), 'missed'],
  ]
    .filter(([number]) => Number(number) > 0)
    .map(([number, word]) => `${inWords(Number(number))} ${word}`)
  return said.length === 0 ? left : `${left} ${capital(said.join(', '))}.`
}
