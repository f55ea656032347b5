import { standing } from '../../../chart/folds/standing.ts'
import { useChart, useSite } from '../../local/hooks.ts'
import { wallOf } from '../../parts/clock-text.ts'
import { Table } from '../../parts/table.tsx'
import { administeredText, observedText } from './outside-words.ts'

/** What other systems charted of the patient, newest first, as they said it. Nothing when none did. */
export function OutsideRecords({ patientId }: { readonly patientId: string }) {
  const chart = useChart()
  const { timeZone } = useSite()
  const records = standing(chart.factsAbout('patient', patientId)).filter(
    (fact) => fact.kind === 'outside-record-received',
  )
  const given = newestFirst(
    records.flatMap(({ id, body }) =>
      body.administrations.map((said, at) => ({ key: `${id} ${at}`, when: said.startedAt, said })),
    ),
  )
  const seen = newestFirst(
    records.flatMap(({ id, body }) =>
      body.observations.map((said, at) => ({ key: `${id} ${at}`, when: said.at, said })),
    ),
  )
  if (given.length + seen.length === 0) return null
  const time = (at: string | null) => {
    if (at === null) return 'time not said'
    const wall = wallOf(at, timeZone)
    return `${wall.date} ${wall.time}`
  }
  return (
    <section className="stack">
      <h3 className="voice-head">Charted elsewhere</h3>
      {given.length > 0 && (
        <Table
          caption="Given by others"
          none="Nothing."
          rows={given}
          keyOf={({ key }) => key}
          columns={[
            { name: 'Medicine', heads: true, cell: ({ said }) => said.medicine || said.code },
            { name: 'What', cell: ({ said }) => administeredText(said) },
            {
              name: 'When, by whom',
              cell: ({ when, said }) => `${time(when)}, ${said.by ?? 'by whom not said'}`,
            },
          ]}
        />
      )}
      {seen.length > 0 && (
        <Table
          caption="Observed by others"
          none="Nothing."
          rows={seen}
          keyOf={({ key }) => key}
          columns={[
            {
              name: 'What',
              heads: true,
              cell: ({ said }) => [said.text || said.code, said.when].filter(Boolean).join(', '),
            },
            { name: 'Found', cell: ({ said }) => observedText(said) },
            { name: 'When', cell: ({ when }) => time(when) },
          ]}
        />
      )}
    </section>
  )
}

/** Those without a time come last. */
function newestFirst<Row extends { readonly when: string | null }>(rows: readonly Row[]): Row[] {
  return rows.toSorted((a, b) =>
    (a.when ?? '') < (b.when ?? '') ? 1 : (a.when ?? '') > (b.when ?? '') ? -1 : 0,
  )
}
