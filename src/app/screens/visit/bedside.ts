import type { Measurements } from '../../../chart/facts/measurements.ts'
import type { GASES, INTERFACES } from '../../../chart/facts/visit.ts'
import type { BodyOf } from '../../../chart/registry.ts'
import type { Source, Worked } from '../../../clinical/worked.ts'

/** Something the chart or a rule says that a person must answer before going on. */
export type BedsideFinding = {
  readonly code: string
  readonly severity: 'stop' | 'ask' | 'caution' | 'note'
  readonly what: string
  readonly why: string
  readonly sources: readonly Source[]
}

export type Precaution = {
  readonly code: string
  readonly name: string
  readonly putOn: readonly string[]
  readonly takeOff: readonly string[]
  readonly room: string | null
}

/** What the door shows. */
export type DoorView = {
  readonly orderStatus: string
  readonly minutesSinceLastDose: number | null
  readonly findings: readonly BedsideFinding[]
  readonly precautions: readonly Precaution[]
  readonly equipment: readonly string[]
}

/** A product of the hospital's list that could be in the hand. */
export type Product = {
  readonly productId: string
  readonly medicineIds: readonly string[]
  readonly text: string
  readonly strength: string
  readonly route: string
  readonly volumeMl: number | null
  readonly gtins: readonly string[]
}

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

/** How the cup is to be filled: worked out from what was ordered and what is in the hand. */
export type PrepareView = {
  readonly portions: BodyOf<'prepared'>['portions']
  readonly totalMl: Worked
  readonly volumes: readonly { readonly text: string; readonly worked: Worked }[]
  readonly targetFillMl: number
  readonly findings: readonly BedsideFinding[]
  readonly order: readonly string[]
}

export type Interface = (typeof INTERFACES)[number]
export type Gas = (typeof GASES)[number]

/** A set-up as chosen on the screen. */
export type SetUpChoice = {
  readonly cupId: string
  readonly interface: Interface
  readonly gas: Gas
  readonly flowLPerMin: number
  readonly reservoirMl: number
  readonly position: BodyOf<'set-up-chosen'>['position']
  readonly cannulaStaysOn: boolean
}

export type Cup = {
  readonly id: string
  readonly name: string
  readonly maxFillMl: number
  readonly flow: { readonly low: number; readonly high: number }
}

/** What the advice says, and why. */
export type SetUpView = {
  readonly advised: SetUpChoice
  readonly because: readonly string[]
  readonly gasBecause: readonly string[]
  readonly cautions: readonly string[]
  readonly sources: readonly Source[]
  readonly cups: readonly Cup[]
}

/** What a set-up will do, as far as it can be forecast. */
export type ForecastView =
  | {
      readonly ok: true
      readonly runMinutes: Worked
      readonly leavesCupMg: Worked | null
      readonly reachesLungMg: Worked | null
      readonly inspiredOxygenPercent: Worked
      readonly runsHere: number
      /** Drug out of the cup over the run, likely and both ends, for the timer's curve. */
      readonly curve: readonly {
        readonly minutes: number
        readonly low: number
        readonly likely: number
        readonly high: number
      }[]
    }
  | { readonly ok: false; readonly why: string }

/** A stop rule that spoke. */
export type StopSpoken = {
  readonly code: string
  readonly what: string
  readonly action: string
  readonly todo: string
  readonly tell: string
  readonly sources: readonly Source[]
}

/** Everything that the visit's screen asks of the clinical rooms, gathered so that stages hold no arithmetic. */
export type Bedside = {
  readonly door: DoorView
  readonly products: readonly Product[]
  readonly readWristband: (scan: string) => { readonly value: string } | { readonly refused: string }
  readonly readMedicine: (scan: string) => ScannedMedicine
  readonly prepare: () => PrepareView | { readonly refused: string }
  readonly setUp: () => SetUpView
  readonly forecast: (choice: SetUpChoice) => ForecastView
  readonly stops: (now: Measurements) => readonly StopSpoken[]
  readonly score: (
    values: Measurements,
  ) => { readonly name: string; readonly worked: Worked; readonly words: string } | null
  readonly changes: () => readonly {
    readonly name: string
    readonly from: string
    readonly to: string
    readonly words: string
    readonly worked: Worked | null
  }[]
}
