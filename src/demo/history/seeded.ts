/** A small seeded generator (mulberry32), so that the demo is the same demo on every machine. */
export type Seeded = {
  /** From 0 up to 1. */
  readonly next: () => number
  /** A whole number from low to high, both ends included. */
  readonly whole: (low: number, high: number) => number
  readonly pick: <Item>(items: readonly Item[]) => Item
  readonly bytes: (length: number) => Uint8Array
}

export function seeded(seed: number): Seeded {
  let state = seed >>> 0
  const next = () => {
    state = (state + 0x6d2b79f5) >>> 0
    let mixed = Math.imul(state ^ (state >>> 15), state | 1)
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61)
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4_294_967_296
  }
  return {
    next,
    whole: (low, high) => low + Math.floor(next() * (high - low + 1)),
    pick: (items) => {
      const item = items[Math.floor(next() * items.length)]
      if (item === undefined) throw new Error('nothing to pick from')
      return item
    },
    bytes: (length) => Uint8Array.from({ length }, () => Math.floor(next() * 256)),
  }
}
