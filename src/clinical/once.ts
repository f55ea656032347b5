/** Works something out when it is first asked for, and once: a document that nobody asks for costs nothing. */
export function once<Value>(work: () => Value): () => Value {
  let done: { readonly value: Value } | null = null
  return () => {
    done ??= { value: work() }
    return done.value
  }
}
