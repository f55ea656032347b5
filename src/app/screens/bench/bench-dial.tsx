import { Dial } from '../../parts/dial.tsx'
import type { BenchRange } from './bench-ranges.ts'

type BenchDialProps = {
  readonly range: BenchRange
  readonly value: number
  readonly onChange: (value: number) => void
}

/** A dial over a range of the bench, with a tick at every eighth. */
export function BenchDial({ range, value, onChange }: BenchDialProps) {
  const { label, unit, low, high, step } = range
  const ticks = Array.from({ length: 9 }, (_, at) => low + ((high - low) * at) / 8)
  return (
    <Dial
      label={label}
      unit={unit}
      value={value}
      // Steps of a tenth come with the dust of binary fractions; the link and the figures shall be the plain number.
      onChange={(next) => onChange(Number(next.toFixed(3)))}
      low={low}
      high={high}
      step={step}
      ticks={ticks}
    />
  )
}
