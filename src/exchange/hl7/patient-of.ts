import type { PatientState } from '../../chart/folds/patient.ts'
import { BadInput } from '../../clinical/worked.ts'
import type { WrittenPatient } from './write-segments.ts'

/**
 * A patient as messages name them.
 * @throws BadInput while the census has not told record number and name: nobody may be told of a nameless patient
 */
export function patientOf(patient: PatientState): WrittenPatient {
  const { mrn, family, given, middle, dob, sex, visitNumber, place, identifiers } = patient
  if (mrn === null) throw new BadInput('patient', null, 'a record number from the census')
  if (family === null) throw new BadInput('patient', null, 'a family name from the census')
  const band = identifiers.find(({ type, value }) => type === 'PI' && /^\d{18}$/.test(value))
  return {
    mrn,
    wristbandGsrn: band?.value ?? null,
    family,
    given: given ?? '',
    middle,
    dob,
    sex,
    visitNumber,
    place,
  }
}
