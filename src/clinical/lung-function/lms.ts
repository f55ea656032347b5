/** Skewness, median and coefficient of variation of a reference population at one age and height. */
export type Lms = { readonly l: number; readonly m: number; readonly s: number }

/** The fifth percentile, where the lower limit of normal lies (Stanojevic 2022). */
export const LOWER_LIMIT_Z = -1.645

/** Standard deviations from the median: ((x/M)^L − 1) / (L·S), or ln(x/M)/S where L is zero (Quanjer 2012). */
export function lmsZ({ l, m, s }: Lms, measured: number): number {
  return l === 0 ? Math.log(measured / m) / s : ((measured / m) ** l - 1) / (l * s)
}

/** The value that lies `z` standard deviations from the median: the reverse of `lmsZ`. */
export function lmsValue({ l, m, s }: Lms, z: number): number {
  return l === 0 ? m * Math.exp(z * s) : m * (1 + z * l * s) ** (1 / l)
}
