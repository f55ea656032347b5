import type { Stage } from './stage.ts'

/** The note, read and signed; a learner's needs a second signature. */
export const chart: Stage = {
  name: 'chart',
  title: 'Chart',
  demands: ({ visit }) => [
    { code: 'signed', what: 'Note read and signed', met: visit.note !== null },
    { code: 'cosigned', what: 'Co-signed', met: visit.note !== null && !visit.note.needsCosign },
  ],
  line: ({ visit }) => {
    if (!visit.note) return 'note and signature'
    const { signed, cosigned, corrections, needsCosign } = visit.note
    const second = cosigned
      ? `, co-signed by ${cosigned.body.printedName}`
      : needsCosign
        ? ', waits for a co-signature'
        : ''
    const corrected = corrections.length > 0 ? `, corrected ${corrections.length}×` : ''
    return `signed by ${signed.body.printedName}${second}${corrected}`
  },
}
