import { requireWithin, type Source } from '../worked.ts'
import { SET_UP_SOURCES } from './sources.ts'

/** What the patient is like now, as measured before the treatment. */
export type PatientForInterface = {
  readonly ageYears: number
  readonly airway: 'natural' | 'tracheostomy' | 'endotracheal tube'
  readonly ability: 'follows and holds a mouthpiece' | 'follows with help' | 'cannot follow'
  readonly consciousness: 'alert' | 'new confusion' | 'to voice' | 'to pain' | 'unresponsive'
  readonly workOfBreathing: 'easy' | 'somewhat labored' | 'labored' | 'exhausted'
  readonly narrowAngleGlaucoma: boolean
  readonly anticholinergic: boolean
}

export type InterfaceName = 'mouthpiece' | 'mask' | 'tracheostomy collar' | 'in-line'

export type InterfaceAdvice = {
  readonly interface: InterfaceName
  readonly reservoir: boolean
  readonly position: 'sitting up' | 'semi-upright' | 'on a lap'
  /** Why, one reason a line, in the order in which they decided. */
  readonly because: readonly string[]
  readonly cautions: readonly string[]
  readonly sources: readonly Source[]
}

/** From this age on a child is expected to manage a mouthpiece. Common practice, no source. */
export const MOUTHPIECE_FROM_YEARS = 5

const { AARC_2012, IPR_LABEL, PRACTICE } = SET_UP_SOURCES

/**
 * Which interface suits, from what the patient can do. Blow-by is never advised: a mask held off loses most of the
 * dose (AARC 2012).
 * @throws OutsideValidity for an age that is not 0 to 120 years
 */
export function adviseInterface(patient: PatientForInterface): InterfaceAdvice {
  requireWithin('ageYears', patient.ageYears, { low: 0, high: 120, unit: 'a' })
  if (patient.airway === 'endotracheal tube') {
    return advice('in-line', false, 'semi-upright', ['An endotracheal tube is in place.'], patient, [
      PRACTICE,
    ])
  }
  if (patient.airway === 'tracheostomy') {
    return advice('tracheostomy collar', false, position(patient), ['A tracheostomy is in place.'], patient, [
      PRACTICE,
    ])
  }
  const against = reasonsAgainstMouthpiece(patient)
  if (against.length > 0)
    return advice('mask', false, position(patient), against, patient, [AARC_2012, PRACTICE])
  const because = ['Follows and holds a mouthpiece; a reservoir tube keeps mist made while breathing out.']
  return advice('mouthpiece', true, position(patient), because, patient, [AARC_2012, PRACTICE])
}

function reasonsAgainstMouthpiece(patient: PatientForInterface): string[] {
  const reasons: string[] = []
  if (patient.ageYears < MOUTHPIECE_FROM_YEARS)
    reasons.push(`Under ${MOUTHPIECE_FROM_YEARS} years: a snug mask.`)
  if (patient.ability !== 'follows and holds a mouthpiece') reasons.push(`Ability: ${patient.ability}.`)
  if (patient.consciousness !== 'alert') reasons.push(`Consciousness: ${patient.consciousness}.`)
  if (patient.workOfBreathing === 'exhausted') reasons.push('Too tired to hold a mouthpiece.')
  return reasons
}

function position(patient: PatientForInterface): InterfaceAdvice['position'] {
  if (patient.ageYears < 3) return 'on a lap'
  return patient.consciousness === 'alert' ? 'sitting up' : 'semi-upright'
}

function advice(
  chosen: InterfaceName,
  reservoir: boolean,
  placed: InterfaceAdvice['position'],
  because: readonly string[],
  patient: PatientForInterface,
  sources: readonly Source[],
): InterfaceAdvice {
  const eyes = chosen === 'mask' && patient.anticholinergic && patient.narrowAngleGlaucoma
  const cautions = [
    ...(eyes
      ? [
          'Narrow-angle glaucoma and an anticholinergic by mask: a close-fitting mask, eyes shielded; ask about eye pain, blurred vision or halos.',
        ]
      : []),
    ...(chosen === 'mask'
      ? ['The mask must be snug. Held off by 2 cm it loses more than half of the dose.']
      : []),
    ...(chosen === 'in-line'
      ? ['Settings, filter and humidification as the ventilator’s instructions say.']
      : []),
  ]
  return {
    interface: chosen,
    reservoir,
    position: placed,
    because,
    cautions,
    sources: eyes ? [...sources, IPR_LABEL] : sources,
  }
}
