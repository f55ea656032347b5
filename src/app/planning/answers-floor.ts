import { CannotAsk, whatIfLeaves } from '../../rounds/index.ts'
import type { ColumnPicture, FloorStop } from './column-picture.ts'
import type { Desk } from './desk.ts'
import { drawPlan } from './draw-plan.ts'
import { type Figures, figuresOf } from './gains.ts'
import { hoursText } from './in-words.ts'
import { type Made, toDraw } from './made-plan.ts'
import type { Answer, BesideColumn, BesideStop, GoesHomeAnswer } from './messages.ts'
import type { PlanningBase } from './planning-base.ts'
import { madeFrom } from './search.ts'

/** The plan if somebody goes home at a minute of the shift, beside the one that is shown. */
export function goesHome({ base, made }: Desk, therapist: string, at: number): Answer<'goes home'> {
  const home = Math.max(at, base.now)
  const options = { freezeMinutes: base.freezeMinutes, seed: 1 }
  try {
    const { instead } = whatIfLeaves(made.day, therapist, home, base.now, options, base.begun)
    return { ok: true, value: compared(base, made, madeFrom(instead), { therapist, home }) }
  } catch (error) {
    if (!(error instanceof CannotAsk)) throw error
    return { ok: false, what: `${base.nameOf(therapist)} is not at work.`, todo: 'Choose somebody who is.' }
  }
}

function compared(
  base: PlanningBase,
  made: Made,
  then: Made,
  { therapist, home }: { readonly therapist: string; readonly home: number },
): GoesHomeAnswer {
  const [a, b] = [figuresOf(base, made), figuresOf(base, then)]
  const [shown, other] = [drawPlan(base, toDraw(base, made)), drawPlan(base, toDraw(base, then))]
  return {
    therapist,
    name: base.nameOf(therapist),
    instant: base.instant(home),
    at: base.clock(home),
    rows: [
      ...rowsOf(a, b),
      { what: 'Promises that change', now: '', otherwise: String(then.changes.length) },
    ],
    columns: shown.columns.map((column) => besideColumn(shown.columns, other.columns, column)),
    hours: other.hours.map((hour, i) => ({ ...hour, otherBusy: shown.hours[i]?.busy ?? 0 })),
    changes: other.changes,
  }
}

/** One person in both plans; what is with somebody else in the other one is marked. */
function besideColumn(
  now: readonly ColumnPicture[],
  then: readonly ColumnPicture[],
  column: ColumnPicture,
): BesideColumn {
  const other = then.find(({ id }) => id === column.id)
  const holder = (columns: readonly ColumnPicture[], stop: FloorStop) =>
    columns.find(({ stops }) => stops.some(({ id }) => id === stop.id))?.id
  const beside = (stops: readonly FloorStop[], columns: readonly ColumnPicture[]): BesideStop[] =>
    stops.map((stop) => {
      const { id, kind, from, until, state } = stop
      return {
        id,
        kind,
        from,
        until,
        state,
        isMoved: kind === 'visit' && holder(columns, stop) !== column.id,
      }
    })
  const words = (picture: ColumnPicture | undefined) =>
    picture ? `${picture.words}; ${picture.loadWords}` : ''
  return {
    id: column.id,
    name: column.name,
    now: beside(column.stops, then),
    otherwise: beside(other?.stops ?? [], now),
    nowWords: words(column),
    otherwiseWords: words(other),
  }
}

function rowsOf(a: Figures, b: Figures): GoesHomeAnswer['rows'] {
  return [
    { what: 'Cannot be reached', now: String(a.leftOut), otherwise: String(b.leftOut) },
    { what: 'Late', now: String(a.late), otherwise: String(b.late) },
    { what: 'Minutes late in all', now: String(a.lateMinutes), otherwise: String(b.lateMinutes) },
    { what: 'Walking in all', now: hoursText(a.walkMinutes), otherwise: hoursText(b.walkMinutes) },
    { what: 'Most work for one', now: hoursText(a.largestLoad), otherwise: hoursText(b.largestLoad) },
  ]
}
