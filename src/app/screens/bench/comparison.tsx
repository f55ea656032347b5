import { type CSSProperties, memo, useMemo } from 'react'
import { Button } from '../../parts/button.tsx'
import { Figure } from '../../parts/figure.tsx'
import { KindMark } from '../../parts/strip.tsx'
import type { Cell, RowName } from './bench-result.ts'
import { setupRemark, setupTitle } from './bench-words.ts'
import { roundUp } from './curve-values.ts'
import type { Results, Shown } from './use-results.ts'

const ROWS: readonly {
  readonly name: RowName
  readonly words: string
  readonly from: number
  readonly to?: number
}[] = [
  { name: 'minutesToEnd', words: 'Run time', from: 0 },
  { name: 'leavesCupMg', words: 'Leaves the cup', from: 0 },
  { name: 'lungMg', words: 'Reaches the lung', from: 0 },
  { name: 'oxygen', words: 'Inspired oxygen', from: 0, to: 100 },
]

type ComparisonProps = {
  readonly results: Results
  /** The set-up that the dials move. */
  readonly chosen: number
  readonly onChoose: (at: number) => void
}

/** The set-ups in columns, each figure with its range on a line that is the same across the row. */
export const Comparison = memo(function Comparison({ results, chosen, onChoose }: ComparisonProps) {
  const { shown } = results
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: what scrolls must be reachable by keyboard (WCAG 2.1.1)
    <section className="bench-frame" aria-label="Set-ups side by side" tabIndex={0}>
      <table className="bench-table" style={{ '--columns': shown.length } as CSSProperties}>
        <caption className="unseen">What each set-up does, with the range that the science supports.</caption>
        <thead>
          <tr>
            <td />
            {shown.map((each, at) => (
              <th key={each.letter} scope="col" {...(at === chosen && { 'data-chosen': true })}>
                <Head each={each} at={at} isChosen={at === chosen} onChoose={onChoose} />
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {ROWS.map((row) => {
            const to = row.to ?? endOf(shown, row.name)
            return (
              <tr key={row.name}>
                <th scope="row">{row.words}</th>
                {shown.map((each) => (
                  <td key={each.letter}>
                    <FigureCell each={each} row={row} to={to} />
                  </td>
                ))}
              </tr>
            )
          })}
        </tbody>
      </table>
    </section>
  )
})

type HeadProps = {
  readonly each: Shown
  readonly at: number
  readonly isChosen: boolean
  readonly onChoose: (at: number) => void
}

const Head = memo(function Head({ each, at, isChosen, onChoose }: HeadProps) {
  const { letter, setup, cup, result } = each
  return (
    <div className="bench-head">
      <span className="voice bench-title">
        <span className="bench-letter">{letter}</span> {setupTitle(setup)}
      </span>
      <span className="bench-remark">{setupRemark(setup, cup.ratedFlowLPerMin !== null)}</span>
      <span className="bench-remark">{result.ok && learnedWords(result.runsHere)}</span>
      <Button tone="quiet" onPress={() => onChoose(at)} aria-pressed={isChosen}>
        {isChosen ? 'in hand' : 'take in hand'}
        <span className="unseen">, {letter}</span>
      </Button>
    </div>
  )
})

/** What the cup's figures rest on. */
function learnedWords(runsHere: number): string {
  return runsHere === 0 ? 'from published figures' : `from ${runsHere} run${runsHere === 1 ? '' : 's'} here`
}

type FigureCellProps = {
  readonly each: Shown
  readonly row: (typeof ROWS)[number]
  /** Where the line of the row ends. */
  readonly to: number
}

/** A figure of one set-up; that of another set-up is left alone while a dial moves this one. */
const FigureCell = memo(function FigureCell({ each, row, to }: FigureCellProps) {
  const { result, letter } = each
  const { from } = row
  const scale = useMemo(() => ({ from, to }), [from, to])
  if (!result.ok) {
    return row.name === 'minutesToEnd' ? (
      <Refusal why={result.why} />
    ) : (
      <span className="quiet">no forecast</span>
    )
  }
  const cell = result.cells[row.name]
  if ('why' in cell) {
    return (
      <p className="quiet small">
        <span className="strong">Not known.</span> {cell.why}
      </p>
    )
  }
  return <Figure name={`${row.words}, ${letter}`} nameUnseen worked={cell.worked} scale={scale} />
})

function Refusal({ why }: { readonly why: string }) {
  return (
    <p className="bench-refusal small">
      <KindMark kind="halt" />
      <span>
        <span className="strong">Refused.</span> {why}
      </span>
    </p>
  )
}

/** Where the line of a row ends: a round number above all that is on it. */
function endOf(shown: readonly Shown[], row: RowName): number {
  const highs = shown.flatMap(({ result }) => (result.ok ? highOf(result.cells[row]) : []))
  return roundUp(Math.max(0, ...highs))
}

function highOf(cell: Cell): number[] {
  return 'worked' in cell ? [cell.worked.spread?.high ?? cell.worked.value] : []
}
