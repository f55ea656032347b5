import { useChart, useClock, useRetryRefused, useWaiting } from '../../local/hooks.ts'
import { Button } from '../../parts/button.tsx'
import { count } from '../../parts/duration-text.ts'
import { Strip } from '../../parts/strip.tsx'
import { lineWords } from '../../shell/waiting-words.ts'

/** What waits, what was refused and why, and how the line to the server stands. */
export function SendingParticulars() {
  const { waiting, refused, unreadable, line, heardAtMs, behind, lacking, sentAgain } = useWaiting()
  const clock = useClock()
  return (
    <div className="stack">
      <p>
        {waiting === 0
          ? 'Everything written here is sent.'
          : `${count(waiting, 'entry', 'entries')} to be sent.`}{' '}
        {lineWords(line)}
      </p>
      <p className="quiet">
        {heardAtMs === null
          ? 'The server has not answered since the app was opened.'
          : `The server last answered at ${clock(new Date(heardAtMs).toISOString())}.`}
        {behind > 0 && ` ${count(behind, 'entry', 'entries')} of the record still to be gone through.`}
        {lacking !== null &&
          lacking > 0 &&
          ` ${count(lacking, 'patient', 'patients')} of the shift still to come.`}
      </p>
      <p className="quiet">
        This tablet holds whom this shift and the next concern, and of whom you charted in the last 72 hours.
        Others can be fetched under Record by their number.
      </p>
      {sentAgain !== null && (
        <Strip kind="caution">
          The record at the server was brought back from an older copy. This tablet takes it down anew and
          sends {count(sentAgain, 'entry', 'entries')} of yours again; what is there already stays as it is,
          once. Check what you charted last.
        </Strip>
      )}
      {refused.length > 0 && <RefusedEntries />}
      {unreadable > 0 && (
        <Strip kind="caution">
          {count(unreadable, 'entry', 'entries')} can only be read by a newer version of the program. They are
          kept as they came. Open the app anew when a new version is offered.
        </Strip>
      )}
    </div>
  )
}

function RefusedEntries() {
  const { refused } = useWaiting()
  const chart = useChart()
  const clock = useClock()
  const retry = useRetryRefused()
  return (
    <>
      <Strip kind="halt" word="Refused." action={<Button onPress={() => void retry()}>Send again</Button>}>
        The server did not take {count(refused.length, 'entry', 'entries')}. They are kept on this tablet and
        count here, but nobody else sees them. Tell whoever looks after the program, and chart anew what is
        missing.
      </Strip>
      <ul className="lines">
        {refused.map(({ id, problems }) => {
          const fact = chart.fact(id)
          return (
            <li key={id}>
              <span className="strong">{fact ? fact.kind.replaceAll('-', ' ') : 'entry'}</span>
              {fact && `, ${clock(fact.happenedAt)}`}:{' '}
              {problems.map(({ where, what }) => `${where} ${what}`).join('; ')}
            </li>
          )
        })}
      </ul>
    </>
  )
}
