import type { DocumentContent } from '../../../chart/documents/documents.ts'
import { Table } from '../../parts/table.tsx'
import { fieldWords } from './field-words.ts'

type Windows = DocumentContent<'windows'>

export const CLASS_WORDS: Readonly<Record<keyof Windows['classes'], string>> = {
  'time-critical': 'Time-critical',
  'more-often-than-daily': 'More often than daily',
  'daily-or-longer': 'Daily or longer',
}

/** How early and how late a dose may be, and how close two may come. */
export function WindowsView({ content }: { readonly content: Windows }) {
  const { classes, exact, notBeyondShareOfInterval, timeCriticalMedicines, medicines, minimumGaps } = content
  return (
    <div className="stack">
      <Table
        caption="Doses scheduled to the clock"
        none="None."
        rows={[
          ...(Object.keys(classes) as (keyof Windows['classes'])[]).map((name) => ({
            name: CLASS_WORDS[name],
            why: '',
            ...classes[name],
          })),
          ...medicines.map((each) => ({ name: each.medicineId, ...each })),
        ]}
        keyOf={({ name }) => name}
        columns={[
          { name: 'Dose', cell: ({ name, why }) => (why === '' ? name : `${name} (${why})`) },
          { name: 'Early (min)', figures: true, cell: ({ minutesBefore }) => minutesBefore },
          { name: 'Late (min)', figures: true, cell: ({ minutesAfter }) => minutesAfter },
        ]}
      />
      <Table
        caption="Doses due at their instant"
        none="None."
        rows={Object.entries(exact.onTimeWithinMinutes)}
        keyOf={([name]) => name}
        columns={[
          { name: 'Dose', cell: ([name]) => fieldWords(name) },
          { name: 'On time within (min)', figures: true, cell: ([, minutes]) => minutes },
        ]}
      />
      <Table
        caption="Closest that two doses of an order may come"
        none="None named: the interval less one window."
        rows={minimumGaps}
        keyOf={({ code }) => code}
        columns={[
          { name: 'Frequency', cell: ({ code }) => code },
          { name: 'At least (min)', figures: true, cell: ({ minutes }) => minutes },
        ]}
      />
      <dl className="setup-fields">
        <div>
          <dt className="quiet small">No window reaches further than</dt>
          <dd>{notBeyondShareOfInterval.share} of the interval</dd>
        </div>
        <div>
          <dt className="quiet small">Time-critical whatever their frequency</dt>
          <dd>{timeCriticalMedicines.map(({ medicineId }) => medicineId).join(', ') || 'none'}</dd>
        </div>
      </dl>
    </div>
  )
}
