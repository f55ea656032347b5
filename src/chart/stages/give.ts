import { runElapsedMs, runPhase } from '../folds/run.ts'
import { labelWaits } from './match-label.ts'
import type { Stage } from './stage.ts'

/** The run itself: begun, watched, ended. */
export const give: Stage = {
  name: 'give',
  title: 'Give',
  demands: ({ visit }) => [
    ...(visit.prepared?.body.labelCode === undefined
      ? []
      : [{ code: 'label', what: 'Label on the cup checked', met: !labelWaits(visit) }]),
    { code: 'started', what: 'Treatment started', met: visit.run.startedAt !== null },
    { code: 'ended', what: 'Treatment finished or stopped', met: visit.ended !== null },
  ],
  line: ({ visit, now }) => {
    const minutes = Math.floor(runElapsedMs(visit.run, now) / 60_000)
    switch (runPhase(visit.run)) {
      case 'not started':
        return 'timer, part-way check, stop rules'
      case 'running':
        return `running, ${minutes} min`
      case 'paused':
        return `paused after ${minutes} min`
      case 'ended': {
        const left = visit.ended?.body.leftMl
        const rest = left === null || left === undefined ? '' : `, ${left} mL left`
        return `${visit.ended?.body.how ?? 'ended'} after ${minutes} min${rest}`
      }
    }
  },
}
