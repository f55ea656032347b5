import type { Stage } from './stage.ts'

/** Interface, gas, flow and position, with the forecast as it stood when they were chosen. */
export const setUp: Stage = {
  name: 'set up',
  title: 'Set up',
  demands: ({ visit }) => [
    { code: 'set-up-chosen', what: 'Interface, gas, flow and position chosen', met: visit.setUp !== null },
  ],
  line: ({ visit }) => {
    const body = visit.setUp?.body
    if (!body) return 'interface, gas, flow, position'
    const reservoir = body.reservoirMl > 0 ? ' with reservoir' : ''
    const cannula = body.cannulaStaysOn ? ', cannula stays on' : ''
    return `${body.interface}${reservoir}, ${body.gas} ${body.flowLPerMin} L/min, ${body.position}${cannula}`
  },
}
