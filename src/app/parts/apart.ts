/**
 * Moves labels along a line so that no two stand closer than `gap`, each as little as need be, keeping their
 * order. Positions in, positions out, in the order given.
 */
export function apart(positions: readonly number[], gap: number): number[] {
  const order = positions.map((at, index) => ({ at, index })).sort((a, b) => a.at - b.at || a.index - b.index)
  // Neighbors that would touch become one block around their mean, as in isotonic regression.
  const blocks: { sum: number; items: number[] }[] = []
  for (const [rank, { at, index }] of order.entries()) {
    blocks.push({ sum: at - rank * gap, items: [index] })
    while (blocks.length > 1 && mean(blocks.at(-2)) > mean(blocks.at(-1))) {
      const last = blocks.pop()
      const before = blocks.at(-1)
      if (!last || !before) break
      before.sum += last.sum
      before.items.push(...last.items)
    }
  }
  const placed: number[] = new Array(positions.length)
  let rank = 0
  for (const block of blocks) {
    for (const index of block.items) {
      placed[index] = mean(block) + rank * gap
      rank += 1
    }
  }
  return placed
}

function mean(block: { sum: number; items: number[] } | undefined): number {
  return block ? block.sum / block.items.length : Number.NEGATIVE_INFINITY
}
