import { useState } from 'react'
import { Button } from '../../src/app/parts/button.tsx'
import { Choice } from '../../src/app/parts/choice.tsx'
import { DateEntry } from '../../src/app/parts/date-entry.tsx'
import { Dial } from '../../src/app/parts/dial.tsx'
import { MomentEntry } from '../../src/app/parts/moment-entry.tsx'
import { MultiChoice } from '../../src/app/parts/multi-choice.tsx'
import { NumberEntry } from '../../src/app/parts/number-entry.tsx'
import type { NumberRule } from '../../src/app/parts/number-rule.ts'
import { PrintButton } from '../../src/app/parts/print-button.tsx'
import { Reading } from '../../src/app/parts/reading.tsx'
import { TextEntry } from '../../src/app/parts/text-entry.tsx'
import { useScanner } from '../../src/app/parts/use-scanner.ts'
import { Screen } from '../../src/app/shell/screen.tsx'

const HEART: NumberRule = {
  name: 'Heart rate',
  unit: '/min',
  decimals: 0,
  possible: { low: 0, high: 400 },
  plausible: { low: 30, high: 220 },
  normal: { low: 60, high: 100 },
  last: { value: 84, when: '10:05' },
}
const FLOW: NumberRule = {
  name: 'Flow',
  unit: 'L/min',
  decimals: 1,
  possible: { low: 0.1, high: 80 },
  plausible: { low: 2, high: 15 },
}

/** Everything that takes something from a person. */
export function Entries() {
  const [heart, setHeart] = useState<number | null>(null)
  const [flow, setFlow] = useState<number | null>(6)
  const [work, setWork] = useState<'easy' | 'somewhat' | 'labored' | null>('easy')
  const [seen, setSeen] = useState<readonly string[]>(['cough'])
  const [note, setNote] = useState('')
  const [moment, setMoment] = useState<string | null>(null)
  const [expiry, setExpiry] = useState('2027-03-31')
  const [dial, setDial] = useState(6)
  const [scanned, setScanned] = useState<string | null>(null)
  useScanner(true, setScanned)
  return (
    <Screen title="Entries" about="what takes something from a person">
      <div className="row">
        <Button>Plain</Button>
        <Button tone="primary">Primary</Button>
        <Button tone="halt" gloved>
          Stop now
        </Button>
        <Button tone="quiet">Quiet</Button>
        <Button isDisabled>Not now</Button>
        <Button isPending>Working…</Button>
        <PrintButton />
        <Button tone="primary" gloved>
          Finished: measure again
        </Button>
      </div>
      <div className="figures">
        <NumberEntry rule={HEART} value={heart} onChange={setHeart} />
        <NumberEntry rule={FLOW} value={flow} onChange={setFlow} remarks={['this cup 6 to 8']} />
        <NumberEntry
          rule={{ ...HEART, name: 'Breaths' }}
          value={null}
          onChange={() => {}}
          problem="Still missing."
        />
        <Reading name="SpO2" value="94" unit="%" remarks={['before 93', 'on 2 L/min']} />
      </div>
      <Choice
        label="Work of breathing"
        options={[
          { value: 'easy', label: 'easy' },
          { value: 'somewhat', label: 'somewhat labored', note: 'uses neck muscles' },
          { value: 'labored', label: 'labored' },
        ]}
        value={work}
        onChange={setWork}
        tileRem={12}
      />
      <MultiChoice
        label="Seen"
        hint="Any that apply."
        options={[
          { value: 'cough', label: 'cough' },
          { value: 'tremor', label: 'tremor' },
          { value: 'distress', label: 'distress', isDisabled: true },
        ]}
        value={seen}
        onChange={setSeen}
        problem={seen.length === 0 ? 'Choose at least one.' : undefined}
      />
      <div className="side-by-side">
        <TextEntry
          label="Note"
          lines={3}
          hint="What the next one should know."
          value={note}
          onChange={setNote}
        />
        <TextEntry label="On whose word" value="" onChange={() => {}} problem="Say who was asked." />
      </div>
      <div className="side-by-side">
        <MomentEntry
          label="When was it?"
          value={moment}
          onChange={setMoment}
          timeZone="America/Chicago"
          nowMs={Date.parse('2026-11-25T16:15:00Z')}
        />
        <div className="stack">
          <DateEntry label="Expiry" value={expiry} onChange={setExpiry} />
          <Dial label="Flow" unit="L/min" value={dial} onChange={setDial} low={2} high={12} step={0.5} />
        </div>
      </div>
      <p data-scanned={scanned ?? ''}>
        Scanned: {scanned === null ? 'nothing yet' : JSON.stringify(scanned)}
      </p>
      <p data-values={JSON.stringify({ heart, moment })} />
    </Screen>
  )
}
