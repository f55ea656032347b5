import type { Axis } from './axis.ts'
import { withUnit } from './number-rule.ts'

/** A tick on its axis; `middle` is where its words are centered, null where there is no room for them. */
export type PlacedTick = {
  readonly key: number
  readonly at: number
  readonly words: string
  readonly middle: number | null
}

/** Width of a letter at the size of the axis, on the wide side [px]. */
const LETTER_PX = 7.5
const GAP_PX = 8

/**
 * Ticks with their words under them, moved in from both ends of the picture. Words of their own come before plain
 * numbers: a number that would run into them is left out, its tick stays.
 */
export function placeTicks(
  { ticks, unit }: Pick<Axis, 'ticks' | 'unit'>,
  toX: (value: number) => number,
  width: number,
): readonly PlacedTick[] {
  const taken: { from: number; to: number }[] = []
  const byWeight = ticks.toSorted((a, b) => Number(b.words !== undefined) - Number(a.words !== undefined))
  return byWeight.map((tick) => {
    const words = tick.words ?? withUnit(String(tick.at), unit)
    const long = words.length * LETTER_PX
    const from = Math.max(0, Math.min(width - long, toX(tick.at) - long / 2))
    const isFree = taken.every((other) => from > other.to + GAP_PX || from + long < other.from - GAP_PX)
    if (isFree) taken.push({ from, to: from + long })
    return { key: tick.at, at: toX(tick.at), words, middle: isFree ? from + long / 2 : null }
  })
}
