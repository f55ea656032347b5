/** The fields that have a value: one that is absent was not measured, and must not arrive as undefined. */
export function knownFields<Value>(
  fields: Readonly<Record<string, Value | undefined>>,
): Record<string, Value> {
  return Object.fromEntries(
    Object.entries(fields).filter((field): field is [string, Value] => field[1] !== undefined),
  )
}
