import type { Stage } from './stage.ts'

/** What went into the cup: every portion with its volume, and the total. */
export const prepare: Stage = {
  name: 'prepare',
  title: 'Prepare',
  demands: ({ visit }) => [
    { code: 'prepared', what: 'Volumes worked out and in the cup', met: visit.prepared !== null },
  ],
  line: ({ visit }) => {
    const body = visit.prepared?.body
    if (!body) return 'volumes and what may share the cup'
    const portions = body.portions.map(({ text, amount, unit, volumeMl }) =>
      amount === null ? `${text} ${volumeMl} mL` : `${text} ${amount} ${unit ?? ''} in ${volumeMl} mL`,
    )
    return `${portions.join(', ')}; ${body.totalMl} mL in the cup`
  },
}
