/**
 * Where a value lies between the two ends of a line: 0 at `from`, 1 at `to`. What lies outside is drawn at the
 * end; only the drawing is held back, never the figure that is said in words beside it.
 */
export function share(value: number, ends: { readonly from: number; readonly to: number }): number {
  if (ends.to === ends.from) return 0
  return Math.min(1, Math.max(0, (value - ends.from) / (ends.to - ends.from)))
}
