import type { DocumentsInForce } from '../chart/documents/documents-in-force.ts'
import type { Chart } from '../chart/folds/chart.ts'
import type { StaffState } from '../chart/folds/staff.ts'
import { minuteIn, type ShiftSpan } from './shift-span.ts'
import { assignedTo } from './stays.ts'

type Documents = DocumentsInForce['documents']

/** Somebody who gives treatments in the shift. */
export type CrewMember = {
  readonly personId: string
  readonly name: string
  readonly units: readonly string[]
  /** What the person is signed off for, and the units assigned as the policy may ask for them. */
  readonly skills: readonly string[]
  /** Minutes of the shift. */
  readonly start: number
  readonly end: number
  readonly break: { readonly duration: number; readonly earliest: number; readonly latest: number } | null
  /** Has gone home, or the shift ended for them. */
  readonly gone: boolean
}

const GIVES = ['therapist', 'lead', 'educator']

/**
 * Who is on in a shift and may give treatments alone, in order of their ids: everybody with a shift assigned that
 * overlaps it. Learners work beside somebody and are no pair of hands of their own.
 */
export function crewOf(chart: Chart, documents: Documents, span: ShiftSpan, now: string): CrewMember[] {
  return chart.staff().flatMap((staff) => {
    if (!staff.active || !GIVES.includes(staff.role)) return []
    const shift = assignedIn(staff, span)
    if (!shift || shift.beside !== undefined) return []
    const start = Math.max(0, minuteIn(span, shift.from, Math.ceil))
    const end = Math.min(minuteIn(span, span.to), minuteIn(span, shift.to, Math.floor))
    const { units } = shift
    const everywhere = units.length === 0 ? documents.units.content.units.map(({ id }) => id) : units
    return [
      {
        personId: staff.personId,
        name: staff.name,
        units,
        skills: [...staff.signedOffFor, ...everywhere.map(assignedTo)],
        start,
        end,
        break: breakOf(minuteIn(span, shift.from), minuteIn(span, shift.to), documents),
        gone: shift.to <= now,
      },
    ]
  })
}

function assignedIn(staff: StaffState, span: ShiftSpan): StaffState['shifts'][number] | null {
  return staff.shifts.filter(({ from, to }) => from < span.to && to > span.from).at(-1) ?? null
}

function breakOf(start: number, end: number, documents: Documents): CrewMember['break'] {
  const pause = documents['planning-policy'].content.break
  if (pause.minutes === 0 || end - start < pause.noneUnderMinutes) return null
  return {
    duration: pause.minutes,
    earliest: start + pause.earliestAfterMinutes,
    latest: start + pause.latestAfterMinutes,
  }
}

/** Whose time somebody's work takes: a learner's is that of the person they work beside. */
export function handsOf(personId: string, chart: Chart, span: ShiftSpan): string {
  const staff = chart.person(personId)
  return (staff && assignedIn(staff, span)?.beside) ?? personId
}
