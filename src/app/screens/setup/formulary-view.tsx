import type { DocumentContent } from '../../../chart/documents/documents.ts'
import { amountText } from '../../../clinical/medicine/index.ts'
import { Table } from '../../parts/table.tsx'
import { StructuredView } from './structured-view.tsx'

type Formulary = DocumentContent<'formulary'>
type Medicine = Formulary['medicines'][number]

/** The formulary: a line a medicine, and under it everything that stands about each, opened one by one. */
export function FormularyView({ content }: { readonly content: Formulary }) {
  const { medicines, version, about, caution, ...rest } = content
  return (
    <div className="stack">
      <StructuredView content={{ version, about, caution }} />
      <Table
        caption="Medicines"
        none="None."
        rows={medicines}
        keyOf={({ id }) => id}
        columns={[
          { name: 'Medicine', cell: ({ name }) => name },
          { name: 'Packs', cell: ({ supply }) => supply.map(({ label }) => label).join('; ') },
          { name: 'Shortest gap', cell: gapOf },
          { name: 'Most in 24 h', cell: mostOf },
          { name: 'In turns', cell: turnsOf },
        ]}
      />
      <h3 className="strong">All that stands about each</h3>
      {medicines.map((medicine) => (
        <details key={medicine.id}>
          <summary>{medicine.name}</summary>
          <StructuredView content={medicine} />
        </details>
      ))}
      <details>
        <summary>Rules, mixing, interactions and words</summary>
        <StructuredView content={rest} />
      </details>
    </div>
  )
}

function gapOf({ timing: { gapRoutine, gapAcute } }: Medicine): string {
  const acute = gapAcute === null ? [] : [`${gapAcute.minutes} min acute`]
  const routine = gapRoutine === null ? [] : [`${gapRoutine.minutes} min`]
  return [...routine, ...acute].join(', ') || 'none published'
}

function mostOf({ timing: { max24h } }: Medicine): string {
  return max24h.map(amountText).join(' or ') || 'none published'
}

function turnsOf({ timing: { cycle } }: Medicine): string {
  return cycle === undefined ? '' : `${cycle.daysOn} days on, ${cycle.daysOff} off`
}
