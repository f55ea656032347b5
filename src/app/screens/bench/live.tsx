import { significant } from '../../parts/figure-text.ts'
import type { RowName } from './bench-result.ts'
import { percentText } from './dose-parts.ts'
import type { Shown } from './use-results.ts'

/** The set-up in hand in one line that stays in sight above its dials where the figures have scrolled away. */
export function Live({ live }: { readonly live: Shown | null }) {
  if (!live) return null
  const { letter, result } = live
  return (
    <p className="bench-live">
      <span className="strong">{letter}</span> {result.ok ? known(result) : 'is refused'}
    </p>
  )
}

function known({ cells, parts }: Extract<Shown['result'], { ok: true }>): string {
  const figure = (name: RowName, before: string, unit: string) => {
    const cell = cells[name]
    return 'worked' in cell ? [`${before} ${significant(cell.worked.value, 2)} ${unit}`] : []
  }
  const lung = parts.find(({ name }) => name === 'lung')
  return [
    ...figure('minutesToEnd', 'runs', 'min'),
    ...(lung ? [`lung ${percentText(lung)}`] : figure('leavesCupMg', 'leaves the cup', 'mg')),
    ...figure('oxygen', 'oxygen', '%'),
  ].join(' · ')
}
