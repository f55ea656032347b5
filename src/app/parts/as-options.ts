import type { Option } from './tile-field.tsx'

/** Values that are already words, as tiles. */
export function asOptions<Value extends string>(values: readonly Value[]): readonly Option<Value>[] {
  return values.map((value) => ({ value, label: value }))
}
