import type { Allergy, Condition, OxygenSupport, SaturationTarget } from '../../chart/facts/census.ts'

/** How somebody answers to a bronchodilator in the invented history. */
export type Course = 'answers well' | 'answers a little' | 'does not answer' | 'heart races' | 'steady'

export type InventedOrder = {
  /** Formulary id, amount, unit; more than one shares a cup. */
  readonly medicines: readonly (readonly [id: string, amount: number, unit: string])[]
  readonly fillMl?: number
  readonly code: string
  readonly prn?: { readonly reason: string; readonly minimumGapMinutes: number }
  readonly indication: string
  /** What becomes of it during the two days before: the demo shows a change, a hold and a stop. */
  readonly fate?: 'changed' | 'held' | 'stopped'
}

/** Nobody real. Ages are kept in days so that the youngest stay the youngest whenever the demo is started. */
export type InventedPatient = {
  readonly mrn: string
  readonly family: string
  readonly given: string
  readonly sex: 'F' | 'M'
  readonly ageDays: number
  readonly weightKg: number
  readonly heightCm: number
  readonly unit: string
  readonly room: string
  readonly bed: string
  readonly admittedHoursAgo: number
  readonly conditions: readonly Condition[]
  readonly allergies?: readonly Allergy[]
  readonly isolation?: readonly string[]
  readonly oxygen?: OxygenSupport
  readonly target?: SaturationTarget
  readonly airway?: 'tracheostomy' | 'endotracheal tube'
  readonly course: Course
  readonly orders: readonly InventedOrder[]
}

const years = (count: number) => Math.round(count * 365.25)
const condition = (code: string, text: string): Condition => ({ code, text })

const COPD = condition('copd', 'Chronic obstructive pulmonary disease')
const CO2 = condition('hypercapnia-risk', 'Keeps carbon dioxide; target saturation 88 to 92 %')
const ASTHMA = condition('asthma', 'Asthma')
const CANNULA2: OxygenSupport = { device: 'nasal cannula', flowLPerMin: 2 }
const TARGET_88: SaturationTarget = { lowPercent: 88, highPercent: 92, newsScale: 2 }

const albuterol = (code: string, indication: string, more: Partial<InventedOrder> = {}): InventedOrder => ({
  medicines: [['albuterol', 2.5, 'mg']],
  code,
  indication,
  ...more,
})
const duo = (code: string, indication: string): InventedOrder => ({
  medicines: [
    ['albuterol', 2.5, 'mg'],
    ['ipratropium', 0.5, 'mg'],
  ],
  code,
  indication,
})
const asNeeded = (gap: number, indication = 'wheeze'): InventedOrder => ({
  medicines: [['albuterol', 2.5, 'mg']],
  code: `PRNQ${gap / 60}H`,
  prn: { reason: 'wheeze or saturation below target', minimumGapMinutes: gap },
  indication,
})

export const youngAndOld = {
  years,
  condition,
  COPD,
  CO2,
  ASTHMA,
  CANNULA2,
  TARGET_88,
  albuterol,
  duo,
  asNeeded,
}
