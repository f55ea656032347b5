/** One line of a reliability table: of the visits given a chance in this range, how many were on time. */
export type ReliabilityRow = {
  readonly from: number
  readonly until: number
  readonly visits: number
  readonly meanChance: number
  readonly onTimeShare: number
}

/** Compares chances with what happened, in ranges of equal width; ranges without visits are left out. */
export function reliabilityTable(
  pairs: readonly { readonly chance: number; readonly onTime: boolean }[],
  ranges: number,
): ReliabilityRow[] {
  return Array.from({ length: ranges }, (_, i) => {
    const from = i / ranges
    const until = (i + 1) / ranges
    const inside = pairs.filter(
      ({ chance }) => chance >= from && (chance < until || (i === ranges - 1 && chance <= 1)),
    )
    const mean = (values: number[]) => values.reduce((sum, value) => sum + value, 0) / values.length
    return {
      from,
      until,
      visits: inside.length,
      meanChance: inside.length === 0 ? 0 : mean(inside.map(({ chance }) => chance)),
      onTimeShare: inside.length === 0 ? 0 : mean(inside.map(({ onTime }) => (onTime ? 1 : 0))),
    }
  }).filter((row) => row.visits > 0)
}
