/** A small seeded generator (mulberry32, public domain): the same seed throws the same dice. */
export class Dice {
  #state: number
  constructor(seed: number) {
    this.#state = seed >>> 0
  }

  /** 0 to below 1. */
  next(): number {
    this.#state = (this.#state + 0x6d2b79f5) >>> 0
    let mixed = Math.imul(this.#state ^ (this.#state >>> 15), 1 | this.#state)
    mixed = (mixed + Math.imul(mixed ^ (mixed >>> 7), 61 | mixed)) ^ mixed
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4_294_967_296
  }

  /** A whole number, both ends included. */
  whole(from: number, to: number): number {
    return from + Math.floor(this.next() * (to - from + 1))
  }

  chance(share: number): boolean {
    return this.next() < share
  }

  pick<T>(of: readonly T[]): T {
    const picked = of[this.whole(0, of.length - 1)]
    if (picked === undefined) throw new Error('there is nothing to pick from')
    return picked
  }

  shuffled<T>(of: readonly T[]): T[] {
    const left = [...of]
    for (let at = left.length - 1; at > 0; at -= 1) {
      const other = this.whole(0, at)
      const [a, b] = [left[at] as T, left[other] as T]
      left[at] = b
      left[other] = a
    }
    return left
  }
}
