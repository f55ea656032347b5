import { BadInput } from '../worked.ts'

/** A band holds every value at or over `from`, or over `above`; the last band, with neither, holds the rest. */
export type Band = { readonly name: string; readonly from?: number; readonly above?: number }

/**
 * The first band that a value belongs to. Bands are listed from best to worst and leave no gap, where print does
 * (−4.0 to −4.1, 69 to 70 %). Values are compared after rounding to 1e-9, so that 12 % exactly is 12 %.
 * @throws BadInput when the value is not a finite number
 */
export function bandOf(bands: readonly Band[], field: string, value: number): string {
  if (!Number.isFinite(value)) throw new BadInput(field, value, 'a finite number')
  const settled = Math.round(value * 1e9) / 1e9
  const found = bands.find(({ from = -Infinity, above = -Infinity }) => settled >= from && settled > above)
  return found?.name ?? ''
}

/** The band that a value fell into, beside the bounds that it was held against. */
export function bandStep(bands: readonly Band[], value: string, name: string): string {
  const bounds = bands.map(({ name: each, from, above }) =>
    from !== undefined
      ? `${each} from ${from}`
      : above !== undefined
        ? `${each} above ${above}`
        : `else ${each}`,
  )
  return `${value}: ${name} (${bounds.join(', ')})`
}
