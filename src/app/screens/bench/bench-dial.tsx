import { memo, useCallback, useMemo } from 'react'
import { Dial } from '../../parts/dial.tsx'
import type { BenchRange } from './bench-ranges.ts'

type BenchDialProps = {
  readonly range: BenchRange
  readonly value: number
  readonly onChange: (value: number) => void
}

/** A dial over a range of the bench, with a tick at every eighth. Drawn anew only when it is its own value that moves. */
export const BenchDial = memo(function BenchDial({ range, value, onChange }: BenchDialProps) {
  const { label, unit, low, high, step } = range
  const ticks = useMemo(
    () => Array.from({ length: 9 }, (_, at) => low + ((high - low) * at) / 8),
    [low, high],
  )
  // Steps of a tenth come with the dust of binary fractions; the link and the figures shall be the plain number.
  const plain = useCallback((next: number) => onChange(Number(next.toFixed(3))), [onChange])
  return (
    <Dial
      label={label}
      unit={unit}
      value={value}
      onChange={plain}
      low={low}
      high={high}
      step={step}
      ticks={ticks}
    />
  )
})

/** For each field a function that sets it, the same one as long as `onChange` is. */
export function useSetters<Fields>(
  onChange: (change: Partial<Fields>) => void,
): (field: keyof Fields) => (value: number) => void {
  return useMemo(() => {
    const made = new Map<keyof Fields, (value: number) => void>()
    return (field) => {
      const known = made.get(field) ?? ((value) => onChange({ [field]: value } as Partial<Fields>))
      made.set(field, known)
      return known
    }
  }, [onChange])
}
