import { BadInput, type Range, type Source } from '../worked.ts'
import type { Person } from './person.ts'

export const SYSTEM_NAMES = ['GLI_GLOBAL_2022', 'GLI_2012', 'NHANES3_1999'] as const
export type SystemName = (typeof SYSTEM_NAMES)[number]

export const PARAMETERS = ['FEV1', 'FVC', 'FEV6', 'FEV1FVC', 'FEV1FEV6', 'PEF', 'FEF2575'] as const
export type Parameter = (typeof PARAMETERS)[number]

/** UCUM. Ratios are `1` (a fraction) in GLI and `%` in NHANES III, each as published. */
export type Unit = 'L' | 'L/s' | '%' | '1'

/** What one system says of one person and one parameter. */
export type Prediction = {
  readonly group: string
  readonly predicted: number
  readonly lowerLimit: number
  /** Standard deviations from predicted. */
  readonly z: (measured: number) => number
  /** A z-score of the system itself, or one derived from its lower limit. */
  readonly zKind: 'LMS' | 'derived'
  /** True beyond the ages to which the equation was fitted. */
  readonly extrapolated: boolean
  readonly cautions: readonly string[]
  readonly sources: readonly Source[]
  readonly steps: {
    readonly predicted: readonly string[]
    readonly lowerLimit: readonly string[]
    readonly z: (measured: number) => readonly string[]
  }
}

/** A set of reference equations: which it is travels with every result. */
export type ReferenceSystem = {
  readonly name: SystemName
  readonly version: string
  /** `all` where the system takes no group. */
  readonly groups: readonly string[]
  readonly ages: Range
  readonly unitOf: (parameter: Parameter) => Unit | null
  /** @throws OutsideValidity for an age or a height, BadInput for a parameter, a group or a sex that it does not cover */
  readonly predict: (person: Person, parameter: Parameter, group: string | undefined) => Prediction
}

/**
 * The group to use: the only one, or the one named; never a default among several.
 * @throws BadInput when there are several and none, or none of these, was named
 */
export function chooseGroup<Group extends string>(
  groups: readonly Group[],
  group: string | undefined,
): Group {
  const chosen = groups.find((each) => each === (group ?? (groups.length === 1 ? groups[0] : undefined)))
  if (chosen !== undefined) return chosen
  throw new BadInput('group', group, groups.join(', '))
}

/**
 * The unit in which a system gives a parameter.
 * @throws BadInput when the system does not have the parameter
 */
export function unitIn(system: ReferenceSystem, parameter: Parameter): Unit {
  const unit = system.unitOf(parameter)
  if (unit !== null) return unit
  const allowed = PARAMETERS.filter((each) => system.unitOf(each) !== null).join(', ')
  throw new BadInput('parameter', parameter, `${allowed} (in ${system.name})`)
}
