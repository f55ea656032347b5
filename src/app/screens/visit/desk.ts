import { createContext, useContext } from 'react'
import type { OrderBody } from '../../../chart/facts/orders.ts'
import type { Chart } from '../../../chart/folds/chart.ts'
import type { BodyOf, KindName } from '../../../chart/registry.ts'
import type { StageContext } from '../../../chart/stages/stage.ts'

/** What every stage of the visit's screen has in hand. */
export type Desk = StageContext & {
  readonly chart: Chart
  readonly terms: OrderBody
  /** Who is signed in: signs, and is compared with who had the visit before. */
  readonly me: { readonly personId: string; readonly name: string; readonly role: string }
  /** An instant as the hospital's clock shows it: "14:05". */
  readonly clock: (instant: string) => string
  /** The hospital's calendar day now, for expiry dates. */
  readonly today: string
  /** Writes a fact about this visit; resolves once it is on this tablet's disk. */
  readonly act: <K extends KindName>(
    kind: K,
    body: BodyOf<K>,
    more?: { readonly happenedAt?: string; readonly corrects?: string },
  ) => Promise<void>
}

export const DeskContext = createContext<Desk | null>(null)

/** The visit in hand. Only inside the visit's screen. */
export function useDesk(): Desk {
  const desk = useContext(DeskContext)
  if (!desk) throw new Error('useDesk outside the visit screen')
  return desk
}
