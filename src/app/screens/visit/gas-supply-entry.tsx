import type { GasSupply } from '../../../chart/facts/visit.ts'
import { METRIC_WATER_L, US_SIZES } from '../../../clinical/oxygen/index.ts'
import { asOptions } from '../../parts/as-options.ts'
import { Choice } from '../../parts/choice.tsx'
import { NumberEntry } from '../../parts/number-entry.tsx'
import type { NumberRule } from '../../parts/number-rule.ts'

type CylinderSupply = Extract<GasSupply, { from: 'cylinder' }>['cylinder']

const FROM = asOptions(['wall', 'compressor', 'cylinder'] as const)
const metricName = (waterL: number) => `${waterL} L`
const SIZES = asOptions([...US_SIZES, ...METRIC_WATER_L.map(metricName)])
const PSI: NumberRule = {
  name: 'On the gauge',
  unit: 'psi',
  decimals: 0,
  possible: { low: 0, high: 3000 },
  plausible: { low: 1, high: 2400 },
}
const BAR: NumberRule = {
  ...PSI,
  unit: 'bar',
  possible: { low: 0, high: 300 },
  plausible: { low: 1, high: 230 },
}

type EntryProps = {
  readonly supply: GasSupply | undefined
  readonly onChange: (supply: GasSupply) => void
}

type CylinderEntryProps = {
  readonly cylinder: CylinderSupply
  readonly onChange: (cylinder: CylinderSupply) => void
}

/** Where the driving gas comes from; with a cylinder, its size and what its gauge shows. */
export function GasSupplyEntry({ supply, onChange }: EntryProps) {
  const from = supply?.from ?? 'wall'
  return (
    <>
      <Choice
        label="Gas from"
        options={FROM}
        value={from}
        onChange={(next) =>
          onChange(next === 'cylinder' ? { from: next, cylinder: { size: 'E', psi: 0 } } : { from: next })
        }
      />
      {supply?.from === 'cylinder' && (
        <CylinderEntry
          cylinder={supply.cylinder}
          onChange={(cylinder) => onChange({ from: 'cylinder', cylinder })}
        />
      )}
    </>
  )
}

function CylinderEntry({ cylinder, onChange }: CylinderEntryProps) {
  const metric = 'waterL' in cylinder
  return (
    <>
      <Choice
        label="Cylinder"
        hint="A US size by its letter, or a metric one by the water it holds."
        options={SIZES}
        tileRem={6.5}
        value={metric ? metricName(cylinder.waterL) : cylinder.size}
        onChange={(size) => {
          const waterL = METRIC_WATER_L.find((liters) => metricName(liters) === size)
          onChange(waterL === undefined ? { size, psi: 0 } : { waterL, bar: 0 })
        }}
      />
      <div className="figures">
        {metric ? (
          <NumberEntry
            rule={BAR}
            value={cylinder.bar || null}
            onChange={(bar) => onChange({ ...cylinder, bar: bar ?? 0 })}
          />
        ) : (
          <NumberEntry
            rule={PSI}
            value={cylinder.psi || null}
            onChange={(psi) => onChange({ ...cylinder, psi: psi ?? 0 })}
          />
        )}
      </div>
    </>
  )
}

/** Whether a cylinder was chosen whose gauge was not read, or shows nothing. */
export function gaugeMissing(supply: GasSupply | undefined): boolean {
  if (supply?.from !== 'cylinder') return false
  const { cylinder } = supply
  return ('waterL' in cylinder ? cylinder.bar : cylinder.psi) === 0
}
