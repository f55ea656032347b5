/** More trials than any search makes between two draws. */
const NEVER_SUCCEEDS = 1_000_000_000

/** Repeatable random numbers (xorshift128, Marsaglia 2003, from memory). The seed is an input; equal seeds give equal runs. */
export class Random {
  private a: number
  private b = 362436069
  private c = 521288629
  private d = 88675123

  constructor(seed: number) {
    this.a = (Math.imul(seed | 0, 2654435761) ^ 123456789) | 0
    for (let i = 0; i < 16; i++) this.bits()
  }

  /** 32 random bits as a signed integer. */
  bits(): number {
    const t = this.a ^ (this.a << 11)
    this.a = this.b
    this.b = this.c
    this.c = this.d
    this.d = this.d ^ (this.d >>> 19) ^ (t ^ (t >>> 8))
    return this.d
  }

  /** Uniform in [0, 1). */
  unit(): number {
    return (this.bits() >>> 0) / 4294967296
  }

  /** Uniform integer in [0, below). */
  below(below: number): number {
    return Math.floor(this.unit() * below)
  }

  /** How many trials fail before the first that succeeds, each with the chance given: one draw instead of many. */
  failures(chance: number): number {
    if (chance <= 0) return NEVER_SUCCEEDS
    return Math.min(NEVER_SUCCEEDS, Math.floor(Math.log(1 - this.unit()) / Math.log(1 - chance)))
  }

  /** Standard normal by the polar method (Marsaglia & Bray 1964, from memory). */
  normal(): number {
    for (;;) {
      const x = 2 * this.unit() - 1
      const y = 2 * this.unit() - 1
      const r = x * x + y * y
      if (r > 0 && r < 1) return x * Math.sqrt((-2 * Math.log(r)) / r)
    }
  }
}
