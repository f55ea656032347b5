/**
 * The check digit of a GS1 number: weights 3, 1, 3 … from the right over the digits before it, then what is missing to
 * the next ten. Source: GS1 General Specifications, check digit calculation (from memory; agrees with published numbers).
 */
export function checkDigit(body: string): number {
  const sum = [...body]
    .reverse()
    .reduce((total, digit, place) => total + Number(digit) * (place % 2 === 0 ? 3 : 1), 0)
  return (10 - (sum % 10)) % 10
}

/** Is the last digit the check digit of those before it? */
export function hasCheckDigit(number: string): boolean {
  return /^\d{2,}$/.test(number) && checkDigit(number.slice(0, -1)) === Number(number.at(-1))
}

/** The ten digits of a US drug number inside a GTIN of that kind; null when it is none. Never padded to eleven. */
export function ndcOf(gtin: string): string | null {
  return /^\d03\d{11}$/.test(gtin) && hasCheckDigit(gtin) ? gtin.slice(3, 13) : null
}

const HIBC = '0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ-. $/+%'

/** The modulo-43 check character of a HIBC code, over every character with the leading plus; null for a bad one. */
export function hibcCheck(data: string): string | null {
  const values = [...data].map((char) => HIBC.indexOf(char))
  return values.includes(-1) ? null : (HIBC[values.reduce((sum, value) => sum + value, 0) % 43] ?? null)
}
