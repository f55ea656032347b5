import type { DocumentContent } from '../../../chart/documents/documents.ts'
import { Table } from '../../parts/table.tsx'

type StandardTimes = DocumentContent<'standard-times'>

export const FIRST_DOSE_WORDS: Readonly<Record<StandardTimes['firstDose']['rule'], string>> = {
  'now-then-half-interval': 'A first dose at once; then no standard time before half the interval has passed',
  'wait-within-half-interval': 'No extra dose when the next standard time is nearer than half the interval',
  'next-standard-time': 'Never an extra dose: wait for the next standard time',
}

/** At what times of day each frequency falls due, table by table, the one in use first. */
export function StandardTimesView({ content }: { readonly content: StandardTimes }) {
  const { tables, inUse, thenLookIn, firstDose, awake, note } = content
  const order = [inUse, ...thenLookIn]
  const rank = (name: string) => (order.includes(name) ? order.indexOf(name) : order.length)
  return (
    <div className="stack">
      {tables
        .toSorted((a, b) => rank(a.name) - rank(b.name))
        .map(({ name, rows }) => (
          <Table
            key={name}
            caption={`${name}: ${placeWords(rank(name), order.length)}`}
            none="No frequency stands here."
            rows={rows}
            keyOf={({ code }) => code}
            columns={[
              { name: 'Frequency', cell: ({ code }) => code },
              { name: 'Times', cell: ({ times }) => times.join(' · ') },
            ]}
          />
        ))}
      <dl className="setup-fields">
        <div className="setup-field-wide">
          <dt className="quiet small">When an order begins between two times</dt>
          <dd>{FIRST_DOSE_WORDS[firstDose.rule]}</dd>
        </div>
        <div>
          <dt className="quiet small">Taken to be awake</dt>
          <dd>
            {awake.from} to {awake.to}
          </dd>
        </div>
        {note !== null && (
          <div>
            <dt className="quiet small">Note</dt>
            <dd>{note}</dd>
          </div>
        )}
      </dl>
    </div>
  )
}

function placeWords(rank: number, looked: number): string {
  if (rank === 0) return 'in use'
  return rank < looked ? `looked into for what stands in no table before it` : 'not used'
}
