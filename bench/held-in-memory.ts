import type { PullWorld } from '../src/app/local/puller.ts'

type Held = PullWorld['keep']
const NOTHING = { facts: [], aheadMs: new Map<string, number>(), unreadable: 0 }

/**
 * What a tablet holds, without its disk and its charts: whom, and up to where. A hundred tablets whole would not fit into
 * one program.
 */
export class HeldInMemory implements Held {
  readonly whole = new Set<string>()
  #scope: string | null = null
  #inScope: ReadonlySet<string> = new Set()
  #upTo: { readonly cursor: number; readonly mark: string | null } = { cursor: 0, mark: null }

  get cursor(): number {
    return this.#upTo.cursor
  }

  get mark(): string | null {
    return this.#upTo.mark
  }

  held: Held['held'] = async () => ({
    now: {
      generation: 0,
      scope: this.#scope,
      beside: [...this.whole].filter((id) => !this.#inScope.has(id)),
      whole: this.whole,
      ...this.#upTo,
    },
    gone: [],
    came: NOTHING,
  })

  take: Held['take'] = async (_told, { cursor, mark }) => {
    if (cursor > this.cursor) this.#upTo = { cursor, mark }
    return NOTHING
  }

  hold: Held['hold'] = async (ids, _told, upTo) => {
    if (this.cursor === 0 || upTo < this.cursor) return null
    for (const id of ids) this.whole.add(id)
    return NOTHING
  }

  noteScope: Held['noteScope'] = async (scope, patientIds) => {
    if (patientIds.some((id) => !this.whole.has(id))) return null
    this.#scope = scope
    this.#inScope = new Set(patientIds)
    const dropped = [...this.whole].filter((id) => !this.#inScope.has(id))
    for (const id of dropped) this.whole.delete(id)
    return dropped
  }
}
