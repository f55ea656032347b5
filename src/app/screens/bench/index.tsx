import { memo, useCallback, useEffect, useRef, useState } from 'react'
import { CUPS } from '../../../chart/documents/cups.ts'
import { useCalibration } from '../../hospital/index.ts'
import { useDocument, useNow } from '../../local/hooks.ts'
import { Button } from '../../parts/button.tsx'
import { Strip } from '../../parts/strip.tsx'
import { Screen } from '../../shell/screen.tsx'
import { type Bench as BenchState, USUAL_BENCH } from './bench-state.ts'
import { patientWords } from './bench-words.ts'
import { Comparison } from './comparison.tsx'
import { Controls } from './controls.tsx'
import { Curves } from './curves.tsx'
import { Heeds } from './heeds.tsx'
import { LinkButton } from './link-button.tsx'
import { SendSheet } from './send-sheet.tsx'
import { useBench } from './use-bench.ts'
import { useResults } from './use-results.ts'
import { WhereItGoes } from './where-it-goes.tsx'
import './bench.css'

/** Set-ups side by side: what each will do for this patient, moving with the dials. */
export function Bench() {
  const { cups } = useDocument(CUPS)
  const [cupIds, setCupIds] = useState(() => cups.map(({ id }) => id))
  if (cupIds.length !== cups.length || cups.some(({ id }, at) => id !== cupIds[at])) {
    setCupIds(cups.map(({ id }) => id))
  }
  const { opened, setBench, changeBench, link } = useBench(cupIds)
  if (opened.kind === 'refused') {
    return (
      <Screen title="Bench">
        <Refused problems={opened.problems} onStart={() => setBench(USUAL_BENCH)} />
      </Screen>
    )
  }
  return <OpenBench bench={opened.bench} visitId={opened.visitId} changeBench={changeBench} link={link} />
}

function Refused({
  problems,
  onStart,
}: {
  readonly problems: readonly string[]
  readonly onStart: () => void
}) {
  return (
    <section className="stack measure" aria-label="Link refused">
      <h2 className="voice-title">This link does not say a bench that can be shown.</h2>
      <Strip kind="halt" word="Refused.">
        <ul className="bench-problems">
          {problems.map((problem) => (
            <li key={problem}>{problem}</li>
          ))}
        </ul>
      </Strip>
      <p>
        Nothing of it was used, and nothing was guessed in its place. Ask for the link again, or start from
        the usual bench.
      </p>
      <div className="row">
        <Button tone="primary" gloved onPress={onStart}>
          Start from the usual bench
        </Button>
      </div>
    </section>
  )
}

type OpenBenchProps = {
  readonly bench: BenchState
  readonly visitId: string | null
  readonly changeBench: (change: (bench: BenchState) => BenchState) => void
  readonly link: (bench: BenchState) => string
}

function OpenBench({ bench, visitId, changeBench, link }: OpenBenchProps) {
  const { cups } = useDocument(CUPS)
  const [chosen, setChosen] = useState(0)
  const [sending, setSending] = useState<boolean | null>(null)
  // What was charted when the bench was opened: it does not move under the hand while somebody else ends a run.
  const [openedAt] = useState(useNow(60_000))
  const learned = useCalibration(openedAt)
  const results = useResults(bench, cups, learned)
  const at = Math.min(chosen, bench.setups.length - 1)
  const latest = useRef(bench)
  useEffect(() => {
    latest.current = bench
  }, [bench])
  const address = useCallback(() => link(latest.current), [link])
  const openSending = useCallback(() => setSending(true), [])
  const setup = bench.setups[at]
  if (!setup) return null
  return (
    <Screen title="Bench" about={patientWords(bench.patient)}>
      <div className="bench">
        <div className="bench-figures stack">
          <Comparison results={results} chosen={at} onChoose={setChosen} />
          <WhereItGoes results={results} />
          <Heeds results={results} />
        </div>
        <Controls
          bench={bench}
          cups={cups}
          chosen={at}
          live={results.shown[at] ?? null}
          onChoose={setChosen}
          onChange={changeBench}
        />
        <Ways onSend={openSending} address={address} />
        <Curves results={results} chosen={at} />
      </div>
      {sending !== null && (
        <SendSheet
          isOpen={sending}
          onClose={() => setSending(false)}
          bench={bench}
          chosen={at}
          visitId={visitId}
        />
      )}
    </Screen>
  )
}

/** What can be done with a bench: left alone while a dial moves. */
const Ways = memo(function Ways({ onSend, address }: { onSend: () => void; address: () => string }) {
  return (
    <div className="row bench-ways">
      <Button gloved onPress={onSend}>
        Send to a visit
      </Button>
      <LinkButton address={address} />
    </div>
  )
})
