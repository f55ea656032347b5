/** Degrees of freedom of the error of a run: heavy tails, so that one odd run does not carry the rest away. */
const FREEDOM = 4

/** Logarithm of the density of Student's t with 4 degrees of freedom at its middle, for this scale. */
export function logStudentPeak(scale: number): number {
  return Math.log(0.375 / scale)
}

/** By how much that logarithm has fallen at `z` scales from the middle: never above zero. */
export function logStudentFall(z: number): number {
  return logOfFalls(studentFallBase(z))
}

/** What is raised to a power in that fall: many may be multiplied before `logOfFalls` takes their logarithm once. */
export function studentFallBase(z: number): number {
  return 1 + (z * z) / FREEDOM
}

/** The falls of several errors together, from the product of their bases. */
export function logOfFalls(product: number): number {
  return -2.5 * Math.log(product)
}

/** Share of Student's t with 4 degrees of freedom that lies above `t`: closed form. */
export function studentAbove(t: number): number {
  const u = t / Math.sqrt(FREEDOM + t * t)
  return 0.5 - 0.75 * u * (1 - (u * u) / 3)
}

/** Distance from the middle within which 90 % of Student's t with 4 degrees of freedom lies. */
export const STUDENT_90 = 2.1318467863266499
