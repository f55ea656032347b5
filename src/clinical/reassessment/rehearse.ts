import type { Course } from './course.ts'
import { reassess } from './reassess.ts'
import { defaultReassessment, type ReassessmentDocument } from './reassessment-document.ts'

export type Decision = 'more often' | 'less often' | 'left'
/** A course of the past, and what people then decided. */
export type PastCourse = { readonly course: Course; readonly decided: Decision }

export type Rehearsal = {
  readonly courses: number
  readonly proposed: Readonly<Record<Decision | 'withheld', number>>
  /** Courses in which a proposal was made and people decided otherwise. */
  readonly disagreed: number
}

/** What a rule would have proposed in the past, against what was decided: run before a rule is put into force. */
export function rehearse(
  past: readonly PastCourse[],
  document: ReassessmentDocument = defaultReassessment(),
): Rehearsal {
  const proposals = past.map(({ course, decided }) => ({ decided, proposed: proposal(course, document) }))
  const count = (kind: Decision | 'withheld') => proposals.filter(({ proposed }) => proposed === kind).length
  return {
    courses: past.length,
    proposed: {
      'more often': count('more often'),
      'less often': count('less often'),
      left: count('left'),
      withheld: count('withheld'),
    },
    disagreed: proposals.filter(({ proposed, decided }) => proposed !== 'withheld' && proposed !== decided)
      .length,
  }
}

function proposal(course: Course, document: ReassessmentDocument): Decision | 'withheld' {
  const kinds = reassess(course, document).suggestions.map(({ kind }) => kind)
  if (kinds.includes('more often')) return 'more often'
  if (kinds.includes('less often')) return 'less often'
  return kinds.includes('interval withheld') ? 'withheld' : 'left'
}
