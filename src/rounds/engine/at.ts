/**
 * Reads one cell of a flat table. The compiler cannot know that an index is inside; in this folder every index comes
 * from the table's own construction. The engine inlines it, and one array kind keeps it fast.
 */
export function at(table: Int32Array, index: number): number {
  return table[index] as number
}
