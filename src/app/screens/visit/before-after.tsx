import { Figure } from '../../parts/figure.tsx'
import { Table } from '../../parts/table.tsx'
import type { Bedside } from './bedside.ts'

/** Before and after side by side, with what the published criteria call the change. */
export function BeforeAfter({ changes }: { readonly changes: ReturnType<Bedside['changes']> }) {
  return (
    <Table
      caption="Before and after"
      none="Nothing was measured twice."
      rows={changes}
      keyOf={({ name }) => name}
      columns={[
        { name: 'Measure', cell: ({ name }) => name },
        { name: 'Before', figures: true, cell: ({ from }) => from },
        { name: 'After', figures: true, cell: ({ to }) => to },
        {
          name: 'Change',
          cell: ({ words, worked }) => (
            <>
              {worked && <Figure name="Change" nameUnseen size="line" worked={worked} />} {words}
            </>
          ),
        },
      ]}
    />
  )
}
