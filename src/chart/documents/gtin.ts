/**
 * Whether the last digit of a GS1 number is its check digit: from the right, the digits before it are weighted
 * 3, 1, 3 ..., and the check digit makes the sum a multiple of ten.
 * Source: GS1 General Specifications, check digit for GTIN and GSRN (from memory; held against worked numbers).
 */
export function hasCheckDigit(number: string): boolean {
  if (!/^\d{2,}$/.test(number)) return false
  const digits = [...number].reverse().map(Number)
  const sum = digits.reduce((total, digit, place) => total + digit * (place % 2 === 1 ? 3 : 1), 0)
  return sum % 10 === 0
}
