/** Made once: making one takes longer than all figures of a screen. */
const WITHOUT_POWERS = new Intl.NumberFormat('en-US', { maximumFractionDigits: 12, useGrouping: false })

/**
 * A figure in so many significant digits, without trailing zeros and never in powers of ten: what is shown large
 * beside a range that says how sure it is. The working shows the number whole.
 * @throws RangeError for a number that is not finite: a screen must say why there is none, not show `NaN`
 */
export function significant(value: number, digits: number): string {
  if (!Number.isFinite(value)) throw new RangeError(`${value} cannot be shown as a figure`)
  const rounded = Number(value.toPrecision(digits))
  const plain = String(rounded)
  return plain.includes('e') ? WITHOUT_POWERS.format(rounded) : plain
}

/** A range as text; null where its ends are shown alike, for then it says nothing beside its figure. */
export function rangeText(low: number, high: number, digits: number): string | null {
  const [from, to] = [significant(low, digits), significant(high, digits)]
  return from === to ? null : `${from} to ${to}`
}
