import { useNavigate } from '@tanstack/react-router'
import { useState } from 'react'
import { Verified } from '../../../api/schemas.ts'
import { fullName } from '../../../chart/folds/patient.ts'
import type { AnyFact } from '../../../chart/registry.ts'
import { useChart, useClock, useGet } from '../../local/hooks.ts'
import { Button } from '../../parts/button.tsx'
import { Sheet } from '../../parts/sheet.tsx'
import { Strip } from '../../parts/strip.tsx'
import { Table } from '../../parts/table.tsx'
import { TextEntry } from '../../parts/text-entry.tsx'
import { Screen } from '../../shell/screen.tsx'
import { ByRecordNumber } from '../patient/by-record-number.tsx'
import './record.css'

const SHOWN = 100

/** Who did what when, newest first, and the proof that nothing was changed afterwards. */
export function Record() {
  const chart = useChart()
  const clock = useClock()
  const navigate = useNavigate()
  const [find, setFind] = useState('')
  const [open, setOpen] = useState<AnyFact | null>(null)
  const wanted = find.trim().toLowerCase()
  const facts = [...chart.facts()]
    .filter(
      (fact) =>
        wanted === '' ||
        `${fact.kind} ${fact.by.personId} ${aboutWords(fact)}`.toLowerCase().includes(wanted),
    )
    .sort((a, b) => (a.recordedAt < b.recordedAt ? 1 : -1))
  function aboutWords(fact: AnyFact): string {
    return fact.about.patientId
      ? fullName(chart.patient(fact.about.patientId))
      : (fact.about.personId ?? fact.about.document ?? '')
  }
  return (
    <Screen title="Record" about="who did what when, and the proof that nothing changed">
      <Proof />
      <ByRecordNumber
        onFound={(patientId) => void navigate({ to: '/patient/$patientId', params: { patientId } })}
      />
      <TextEntry label="Find by kind, person or patient" value={find} onChange={setFind} />
      <Table
        caption={`${facts.length} facts on this tablet${facts.length > SHOWN ? `, the newest ${SHOWN} shown` : ''}`}
        none="No fact fits that."
        rows={facts.slice(0, SHOWN)}
        keyOf={({ id }) => id}
        columns={[
          { name: 'When', cell: ({ happenedAt }) => clock(happenedAt) },
          {
            name: 'What',
            heads: true,
            cell: (fact) => (
              <Button
                tone="quiet"
                flush="start"
                onPress={() => setOpen(fact)}
                aria-label={`Open ${fact.kind} of ${clock(fact.happenedAt)}`}
              >
                {fact.kind.replaceAll('-', ' ')}
              </Button>
            ),
          },
          { name: 'About', cell: aboutWords },
          { name: 'By', cell: ({ by }) => `${by.personId}, ${by.role}` },
          { name: 'Device', cell: ({ device }) => device },
        ]}
      />
      <Sheet
        title={open?.kind.replaceAll('-', ' ') ?? ''}
        isOpen={open !== null}
        onClose={() => setOpen(null)}
      >
        {open && <pre className="record-fact">{JSON.stringify(open, null, 2)}</pre>}
      </Sheet>
    </Screen>
  )
}

/** Asks the server to re-compute the hash chain from the first entry. */
function Proof() {
  const get = useGet()
  const [busy, setBusy] = useState(false)
  const [verified, setVerified] = useState<Verified | null>(null)
  const [problem, setProblem] = useState<string | null>(null)
  const verify = async () => {
    setBusy(true)
    setProblem(null)
    const reply = await get('/api/verify', Verified)
    setBusy(false)
    if (reply.ok) setVerified(reply.value)
    else setProblem(reply.what)
  }
  return (
    <section className="stack stack-close">
      <div className="row">
        <Button gloved isPending={busy} onPress={verify}>
          Prove that nothing changed
        </Button>
      </div>
      {verified?.kind === 'whole' && (
        <Strip kind="note" word="Whole." spoken>
          {verified.entries} entries re-computed; every one names the one before it. Last hash{' '}
          {verified.lastHash.slice(0, 16)}…
        </Strip>
      )}
      {verified?.kind === 'broken' && (
        <Strip kind="halt" word="Broken." spoken>
          Entry {verified.sequence} does not hold: {verified.why}. The {verified.entries - 1} before it do.
          Keep the disk as it is and tell the administrator.
        </Strip>
      )}
      {problem !== null && (
        <Strip kind="caution" word="Not checked." spoken>
          {problem}
        </Strip>
      )}
    </section>
  )
}
