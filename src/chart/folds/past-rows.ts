/** What is kept of a past visit to learn from: figures, and the visit's id by which two tellings of it are known as one. */
type PastRow = { readonly visitId: string }

/**
 * The rows that are told from elsewhere beside those that are read here, each visit once. Of a visit that is held here
 * the own reading counts, also where it says that nothing can be learned from it: corrections may have come here first.
 */
export function joinPast<Row extends PastRow>(
  told: readonly Row[],
  own: readonly Row[],
  held: ReadonlySet<string>,
): Row[] {
  return [...told.filter(({ visitId }) => !held.has(visitId)), ...own]
}

/** The newest so many rows, oldest first, by an instant of theirs; at one instant by the id, so on every device alike. */
export function newestPast<Row extends PastRow>(
  rows: readonly Row[],
  most: number,
  at: (row: Row) => string,
): Row[] {
  const keyed = rows.map((row) => ({ row, key: `${at(row)} ${row.visitId}` }))
  keyed.sort((a, b) => (a.key < b.key ? -1 : 1))
  return keyed.slice(-most).map(({ row }) => row)
}
