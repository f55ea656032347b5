import { lastMeasured, measureDemands, measuredLine, oxygenText } from './measure.ts'
import type { Stage } from './stage.ts'

/** Measured again, oxygen back as it was, the cup cared for. */
export const after: Stage = {
  name: 'after',
  title: 'After',
  demands: ({ visit }) => [
    ...measureDemands(lastMeasured(visit, 'after'), 'after'),
    { code: 'oxygen-back', what: 'Oxygen back as it was, SpO2 checked on it', met: visit.after !== null },
    {
      code: 'bed-and-bell',
      what: 'Bed safe, call bell in reach',
      met: visit.after?.body.bedAndBell === true,
    },
  ],
  line: ({ visit }) => {
    const body = lastMeasured(visit, 'after')
    if (!body) return 'cough, the same measurements, oxygen back'
    const back = visit.after ? `; oxygen back: ${oxygenText(visit.after.body.oxygenBack)}` : ''
    return `${measuredLine(body)}${back}`
  },
}
