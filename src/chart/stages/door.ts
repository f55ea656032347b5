import { orderStatusAt } from '../folds/order.ts'
import type { Stage } from './stage.ts'

/** Is the order still in force, does the chart say anything against it now, what to put on and bring. */
export const door: Stage = {
  name: 'door',
  title: 'Door',
  demands: ({ visit, order, now }) => [
    {
      code: 'order-active',
      what: 'The order must be in force',
      met: visit.run.startedAt !== null || orderStatusAt(order, now) === 'active',
    },
    {
      code: 'door-checked',
      what: 'Check the order, the cautions, precautions and equipment',
      met: visit.door !== null,
    },
  ],
  line: ({ visit }) => {
    const body = visit.door?.body
    if (!body) return 'order, cautions, precautions, equipment'
    const since =
      body.minutesSinceLastDose === null
        ? 'no dose before'
        : `${spoken(body.minutesSinceLastDose)} since last`
    const cautions = body.findings.length === 0 ? 'nothing against' : `${body.findings.length} answered`
    const on = body.putOn.length === 0 ? '' : `; ${body.putOn.join(', ')}`
    return `active order, ${since}, ${cautions}${on}`
  },
}

/** Minutes as a person says them: 250 is "4 h 10 min". */
export function spoken(minutes: number): string {
  const whole = Math.round(minutes)
  if (whole < 60) return `${whole} min`
  const rest = whole % 60
  return rest === 0 ? `${Math.floor(whole / 60)} h` : `${Math.floor(whole / 60)} h ${rest} min`
}
