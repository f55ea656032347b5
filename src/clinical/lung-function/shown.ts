/** A figure as it is shown in a step: so many decimals at most, no trailing zeros, a true minus sign. */
export function shown(value: number, decimals: number): string {
  const text = String(Number(value.toFixed(decimals)))
  return text.startsWith('-') ? `−${text.slice(1)}` : text
}

/** Terms of a sum in one line: "0.5536 − 0.01303 × 40". A term whose factor is zero is left out. */
export function sumShown(terms: readonly (readonly [factor: number, of: string])[]): string {
  return terms
    .filter(([factor]) => factor !== 0)
    .map(([factor, of], at) => {
      const size = of === '' ? `${Math.abs(factor)}` : `${Math.abs(factor)} × ${of}`
      const sign = factor < 0 ? '−' : '+'
      return at === 0 ? `${factor < 0 ? '−' : ''}${size}` : `${sign} ${size}`
    })
    .join(' ')
}
