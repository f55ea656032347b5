/** "Anselm K.": enough to find the bed by, no more than others in the corridor should read. */
export function shortName(patient: { given: string | null; family: string | null }): string {
  return [patient.given, patient.family ? `${patient.family.charAt(0)}.` : null].filter(Boolean).join(' ')
}
