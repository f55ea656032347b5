import { Figure } from '../../src/app/parts/figure.tsx'
import { LineChart } from '../../src/app/parts/line-chart.tsx'
import { Progress } from '../../src/app/parts/progress.tsx'
import { RingTimer } from '../../src/app/parts/ring-timer.tsx'
import { SlopeChart } from '../../src/app/parts/slope-chart.tsx'
import { SpreadBar } from '../../src/app/parts/spread-bar.tsx'
import { Table } from '../../src/app/parts/table.tsx'
import { WindowMark } from '../../src/app/parts/window-mark.tsx'
import { Screen } from '../../src/app/shell/screen.tsx'
import type { Worked } from '../../src/clinical/worked.ts'

const RUN: Worked = {
  value: 11.73,
  unit: 'min',
  steps: ['Fill 3 mL less residual 0.9 mL = 2.1 mL', '2.1 mL ÷ 0.179 mL/min = 11.73 min'],
  sources: [
    { key: 'own', cite: 'Mass balance of the cup', place: 'stated in the program', standing: 'design rule' },
    { key: 'mem', cite: 'Residual volume of a jet cup, 0.5 to 1.5 mL', standing: 'from memory' },
  ],
  spread: { low: 9, high: 15 },
  validity: 'Jet cups, fills from 2 to 6 mL, flows from 5 to 10 L/min.',
  caution: 'The cup was not measured here yet.',
}
const curve = Array.from({ length: 21 }, (_, i) => ({ x: i * 0.6, y: 1.1 * (1 - Math.exp(-i * 0.12)) }))
const visits = [
  { at: '10:24', who: '4 West 12', state: 'on time' as const, words: '97 in 100 on time', arrival: 0.28 },
  {
    at: '11:06',
    who: 'Surgical step-down 3',
    state: 'tight' as const,
    words: '72 in 100, tight',
    arrival: 0.55,
  },
  { at: '11:58', who: 'Medical ICU 7', state: 'late' as const, words: '8 min late', arrival: 0.75 },
]

/** Everything that shows figures. */
export function Pictures() {
  return (
    <Screen title="Pictures" about="what shows figures">
      <p className="voice-title">Fourteen visits left. Thirteen on time, one eight minutes late.</p>
      <div className="row">
        <RingTimer name="Treatment" elapsedMs={190_000} ofMs={600_000} />
        <RingTimer name="Second" elapsedMs={190_000} ofMs={600_000} counts="gone" sizeRem={6} />
        <RingTimer name="Third" elapsedMs={660_000} ofMs={600_000} sizeRem={6} />
        <RingTimer name="Fourth" elapsedMs={42_000} ofMs={null} />
      </div>
      <div className="figures">
        <Figure name="Run time" worked={RUN} scale={{ from: 0, to: 20 }} />
        <Figure
          name="Reaches the lung"
          worked={{ ...RUN, value: 0.193, unit: 'mg', spread: { low: 0.11, high: 0.27 } }}
          scale={{ from: 0, to: 0.5 }}
        />
        <Figure name="Leaves the cup" worked={{ ...RUN, value: 1.02, unit: 'mg' }} />
        <SpreadBar
          name="Inspired oxygen"
          low={38}
          likely={52}
          high={65}
          unit="%"
          scale={{ from: 21, to: 100 }}
        />
      </div>
      <p>
        In running text: <Figure name="run" nameUnseen size="line" worked={{ ...RUN, steps: RUN.steps }} /> as
        forecast.
      </p>
      <Table
        caption="The next visits"
        columns={[
          { name: 'Time', cell: (visit) => visit.at },
          { name: 'Place', cell: (visit) => visit.who, heads: true },
          {
            name: 'Window',
            cell: (visit) => (
              <WindowMark
                scale={{ from: 0, to: 1 }}
                opens={0}
                closes={0.66}
                lastAt={1}
                arrival={{ low: visit.arrival - 0.1, likely: visit.arrival, high: visit.arrival + 0.12 }}
                state={visit.state}
                words={visit.words}
                spoken={`window 10:00 to 11:00; ${visit.words}`}
              />
            ),
          },
        ]}
        rows={visits}
        keyOf={(visit) => visit.at}
        none="No visits."
      />
      <div className="side-by-side">
        <LineChart
          title="Drug out of the cup"
          x={{
            name: 'Time',
            unit: 'min',
            from: 0,
            to: 12,
            ticks: [{ at: 0 }, { at: 5 }, { at: 10, words: 'first sputter' }],
          }}
          y={{ name: 'Out of the cup', unit: 'mg', from: 0, to: 1.2, ticks: [] }}
          line={curve}
          band={curve.map(({ x, y }) => ({ x, low: y * 0.8, high: y * 1.08 }))}
          mark={{ x: 6, y: 0.77, words: 'now: 0.78 mg out' }}
          levels={[{ at: 1.05, words: 'all that can leave' }]}
        />
        <SlopeChart
          title="Peak flow before and after"
          unit="L/min"
          main="today 10:09"
          slopes={[
            { name: 'yesterday 18:00', before: 190, after: 215 },
            { name: 'today 02:10', before: 200, after: 210 },
            { name: 'today 10:09', before: 210, after: 260 },
          ]}
        />
      </div>
      <Progress label="Taking over the record" done={0.4} words="4000 of 10000 entries" onStop={() => {}} />
    </Screen>
  )
}
