import type { ColumnPicture } from '../../src/app/planning/column-picture.ts'
import type { PeopleHour } from '../../src/app/planning/plan-picture.ts'
import type { StopPicture } from '../../src/app/planning/stop-picture.ts'
import { evaluate, type PricedPlan } from '../../src/rounds/evaluate.ts'
import type { Shift } from '../../src/rounds/model.ts'
import { clockText } from '../../src/rounds/words.ts'
import overloadPlan from '../planning/test-data/shifts/plans/shift-03-k3-n105-overload.json' with {
  type: 'json',
}
import overload from '../planning/test-data/shifts/shift-03-k3-n105-overload.json' with { type: 'json' }

/** An invented shift with more work than time, and a kept plan of it, as pictures. */
export const shift = overload as unknown as Shift
export const priced: PricedPlan = evaluate(shift, { routes: overloadPlan.routes })

const unitOf = new Map(shift.patients.map((patient) => [patient.id, patient.unit]))

export function threadOf(k: number): StopPicture[] {
  let walked = 0
  return (priced.schedule[k]?.stops ?? []).map((stop, index) => {
    walked = (index * 3) % 8
    if (stop.visit === null) return breakPicture(stop.start, walked)
    const visit = shift.visits.find(({ id }) => id === stop.visit)
    if (!visit) throw new Error('the plan names a visit that is not there')
    const late = Math.max(0, stop.start - visit.onTimeUntil)
    const tight = late === 0 && visit.onTimeUntil - stop.start < 8
    const words = late > 0 ? `${late} min late` : tight ? '72 in 100, tight' : '97 in 100 on time'
    return {
      id: stop.visit,
      kind: 'visit' as const,
      at: clockText(shift, stop.start),
      walkMinutes: walked,
      wayWords: walked === 0 ? 'next room' : `${walked} min walk`,
      place: `${unitOf.get(visit.patient)} ${visit.patient.slice(1)}`,
      who: `Imani R. · ${30 + index}`,
      what: index % 3 === 0 ? 'albuterol 2.5 mg' : 'albuterol + ipratropium',
      how: 'air, mouthpiece, 6 L/min',
      state: late > 0 ? ('late' as const) : tight ? ('tight' as const) : ('on time' as const),
      words,
      spoken: `window ${clockText(shift, visit.earliest)} to ${clockText(shift, visit.onTimeUntil)}; ${words}`,
      dose: null,
      unit: unitOf.get(visit.patient) ?? null,
      window: {
        scale: { from: visit.earliest - 15, to: Math.min(visit.latest, visit.onTimeUntil + 90) + 15 },
        opens: visit.earliest,
        closes: visit.onTimeUntil,
        lastAt: Math.min(visit.latest, visit.onTimeUntil + 90),
        arrival: { low: stop.start - 4, likely: stop.start, high: stop.start + 11 },
      },
      isNext: index === 0,
      begun: false,
      pinned: index === 4,
      movable: index > 0,
    }
  })
}

function breakPicture(start: number, walkMinutes: number): StopPicture {
  return {
    id: 'break',
    kind: 'break',
    at: clockText(shift, start),
    walkMinutes,
    wayWords: `${walkMinutes} min walk`,
    place: 'Break',
    who: 'Respiratory care department',
    what: '',
    how: '',
    state: 'on time',
    words: '30 min, latest start 12:00',
    spoken: '',
    dose: null,
    unit: 'BASE',
    window: null,
    isNext: false,
    begun: false,
    pinned: false,
    movable: true,
  }
}

export function columnsOf(): ColumnPicture[] {
  return priced.schedule.map(({ therapist, stops }, k) => {
    const thread = threadOf(k)
    const late = thread.filter(({ state }) => state === 'late').length
    return {
      id: therapist,
      name: ['Romy Amsel', 'Jonas Birke', 'Alda Corvin'][k] ?? therapist,
      words: `${thread.length - 1} visits${late > 0 ? `, ${late} late` : ''}`,
      loadWords: '9 h 50 of 11 h 30',
      from: 0,
      until: 720,
      late,
      hours: Array.from({ length: 12 }, (_, hour) => busy(stops, hour * 60)),
      stops: thread.map((stop, index) => ({
        id: stop.id,
        kind: stop.kind,
        from: stops[index]?.start ?? 0,
        until: stops[index]?.end ?? 0,
        label: `${stop.place}, ${stop.who}`,
        remark: stop.state === 'on time' ? '' : stop.words,
        state: stop.state,
        spoken: `${stop.at} ${stop.place}, ${stop.spoken}`,
        pinned: stop.pinned,
        movable: stop.movable,
      })),
    }
  })
}

function busy(stops: readonly { readonly start: number; readonly end: number }[], from: number): number {
  return (
    stops.reduce(
      (sum, { start, end }) => sum + Math.max(0, Math.min(end, from + 60) - Math.max(start, from)),
      0,
    ) / 60
  )
}

export function hoursOf(): PeopleHour[] {
  return Array.from({ length: 12 }, (_, hour) => ({
    from: clockText(shift, hour * 60),
    busy: priced.schedule.reduce((sum, { stops }) => sum + busy(stops, hour * 60), 0),
    present: 3,
    atLeast: hour === 2 ? 4 : 2,
  }))
}
