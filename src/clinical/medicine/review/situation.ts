import type { InterfaceKind, NebulizerKind, When } from '../formulary/when.ts'

/** What is known when a rule is asked. A field that is absent is not known; nothing is assumed for it. */
export type Situation = {
  /** Condition codes of the formulary; absent when the chart does not say. */
  readonly conditions?: ReadonlySet<string>
  /** Classes and groups of everything that is taken, this order aside. */
  readonly taking?: ReadonlySet<string>
  readonly indications?: ReadonlySet<string>
  readonly measured?: Measured
  readonly nebulizer?: NebulizerKind
  readonly interface?: InterfaceKind
  readonly ownDevice?: boolean
  readonly filter?: boolean
  readonly mixed?: boolean
  readonly several?: boolean
  readonly repeated?: boolean
  readonly premixed?: boolean
  readonly concentrateUndiluted?: boolean
  readonly preservatives?: ReadonlySet<string>
  readonly dosesBefore?: number
}

/** Last figures from the bedside that a rule may ask for. */
export type Measured = {
  readonly systolicMmHg?: number
  readonly fev1PercentPredicted?: number
  readonly heartRatePerMin?: number
  readonly spo2Percent?: number
}

export type Holds = 'yes' | 'no' | 'unknown'

/** Whether everything that a rule asks for holds. One no decides; an unknown stays unknown. */
export function holds(when: When, situation: Situation): Holds {
  const answers = [
    anyOf(when.conditions, situation.conditions),
    noneOf(when.withoutConditions, situation.conditions),
    anyOf(when.taking, situation.taking),
    noneOf(when.notTaking, situation.taking),
    anyOf(when.indications, situation.indications),
    anyOf(when.nebulizers, one(situation.nebulizer)),
    anyOf(when.interfaces, one(situation.interface)),
    anyOf(when.preservatives, situation.preservatives),
    same(when.ownDevice, situation.ownDevice),
    same(when.filter, situation.filter),
    same(when.mixed, situation.mixed),
    same(when.several, situation.several),
    same(when.repeated, situation.repeated),
    same(when.premixed, situation.premixed),
    same(when.concentrateUndiluted, situation.concentrateUndiluted),
    atLeast(when.dosesBefore?.from, situation.dosesBefore),
    ...measuredAnswers(when.measured, situation.measured),
  ]
  if (answers.includes('no')) return 'no'
  return answers.includes('unknown') ? 'unknown' : 'yes'
}

function anyOf(wanted: readonly string[] | undefined, known: ReadonlySet<string> | undefined): Holds {
  if (wanted === undefined) return 'yes'
  if (known === undefined) return 'unknown'
  return wanted.some((each) => known.has(each)) ? 'yes' : 'no'
}

function noneOf(unwanted: readonly string[] | undefined, known: ReadonlySet<string> | undefined): Holds {
  if (unwanted === undefined) return 'yes'
  if (known === undefined) return 'unknown'
  return unwanted.some((each) => known.has(each)) ? 'no' : 'yes'
}

function same(wanted: boolean | undefined, known: boolean | undefined): Holds {
  if (wanted === undefined) return 'yes'
  if (known === undefined) return 'unknown'
  return wanted === known ? 'yes' : 'no'
}

function atLeast(from: number | undefined, known: number | undefined): Holds {
  if (from === undefined) return 'yes'
  if (known === undefined) return 'unknown'
  return known >= from ? 'yes' : 'no'
}

function measuredAnswers(limits: When['measured'], measured: Measured | undefined): Holds[] {
  return Object.entries(limits ?? {}).map(([name, { below, above }]) => {
    const value = measured?.[name as keyof Measured]
    if (value === undefined) return 'unknown'
    const outside = (below !== undefined && !(value < below)) || (above !== undefined && !(value > above))
    return outside ? 'no' : 'yes'
  })
}

function one<T>(known: T | undefined): ReadonlySet<T> | undefined {
  return known === undefined ? undefined : new Set([known])
}
