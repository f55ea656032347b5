import type { SetUpAdvice } from '../../../chart/bedside/advise-set-up.ts'
import type { DoorView } from '../../../chart/bedside/at-the-door.ts'
import type { VisitForecast } from '../../../chart/bedside/forecast-visit.ts'
import type { CupPlan } from '../../../chart/bedside/plan-cup.ts'
import type { Product } from '../../../chart/bedside/products.ts'
import type { SetUpChoice } from '../../../chart/bedside/set-up-choice.ts'
import type { Change, Score, StopSpoken } from '../../../chart/bedside/watch.ts'
import type { Measurements } from '../../../chart/facts/measurements.ts'
import type { LabelSeen } from '../../../chart/stages/match-label.ts'

/** A scan read: which product, lot and expiry as far as the code said, or why it cannot be used. */
export type ScannedMedicine =
  | {
      readonly ok: true
      readonly product: Product
      readonly gtin: string
      readonly lot: string | null
      readonly expiry: string | null
    }
  | { readonly ok: false; readonly what: string }

/** Everything that the visit's screen asks of the clinical rooms, gathered so that stages hold no arithmetic. */
export type Bedside = {
  readonly door: DoorView
  readonly products: readonly Product[]
  readonly readWristband: (scan: string) => { readonly value: string } | { readonly refused: string }
  readonly readMedicine: (scan: string) => ScannedMedicine
  readonly readLabel: (scan: string) => LabelSeen | { readonly refused: string }
  /** What the code of a label for this visit's cup holds, for a writer of GS1 DataMatrix. */
  readonly writeLabel: (labelCode: string, useBy: string) => string
  /** Until when what is prepared at an instant may be used. */
  readonly usableUntil: (preparedAt: string) => string
  readonly prepare: () => CupPlan | { readonly refused: string }
  readonly setUp: () => SetUpAdvice
  readonly forecast: (choice: SetUpChoice) => VisitForecast
  readonly stops: (now: Measurements) => readonly StopSpoken[]
  readonly score: (values: Measurements) => Score | null
  readonly changes: () => readonly Change[]
}
