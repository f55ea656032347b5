/**
 * Code systems and codes as they stand in messages. LOINC is a registered trademark of Regenstrief Institute, Inc.; its
 * codes are used under its license, which asks that this notice be kept.
 */
export const SYSTEM = {
  loinc: 'http://loinc.org',
  ucum: 'http://unitsofmeasure.org',
  identifierType: 'http://terminology.hl7.org/CodeSystem/v2-0203',
  gts: 'http://terminology.hl7.org/CodeSystem/v3-GTSAbbreviation',
  observationCategory: 'http://terminology.hl7.org/CodeSystem/observation-category',
  administrationCategory: 'http://terminology.hl7.org/CodeSystem/medication-admin-category',
  actCode: 'http://terminology.hl7.org/CodeSystem/v3-ActCode',
  route: 'http://terminology.hl7.org/CodeSystem/v2-0162',
  routeDevice: 'http://terminology.hl7.org/CodeSystem/v2-0164',
  routeMethod: 'http://terminology.hl7.org/CodeSystem/v2-0165',
  placeType: 'http://terminology.hl7.org/CodeSystem/location-physical-type',
  dataOperation: 'http://terminology.hl7.org/CodeSystem/v3-DataOperation',
  provenanceAgent: 'http://terminology.hl7.org/CodeSystem/provenance-participant-type',
  signatureType: 'urn:iso-astm:E1762-95:2013',
  absent: 'http://terminology.hl7.org/CodeSystem/data-absent-reason',
  dicom: 'http://dicom.nema.org/resources/ontology/DCM',
  allergyClinical: 'http://terminology.hl7.org/CodeSystem/allergyintolerance-clinical',
} as const

/** Names of our own, where no standard has one. `urn:mistwright:` stands for this program. */
export const OURS = {
  recordNumber: (facility: string) => `urn:mistwright:${encodeURIComponent(facility)}:record-number`,
  identifier: (facility: string) => `urn:mistwright:${encodeURIComponent(facility)}:identifier`,
  stay: (facility: string) => `urn:mistwright:${encodeURIComponent(facility)}:stay`,
  order: (facility: string) => `urn:mistwright:${encodeURIComponent(facility)}:order`,
  person: (facility: string) => `urn:mistwright:${encodeURIComponent(facility)}:person`,
  bundle: (facility: string) => `urn:mistwright:${encodeURIComponent(facility)}:bundle`,
  medicine: 'urn:mistwright:order-code',
  frequency: 'urn:mistwright:frequency',
  observation: 'urn:mistwright:observation',
  sound: 'urn:mistwright:breath-sound',
  phase: 'urn:mistwright:phase',
  notGiven: 'urn:mistwright:reason-not-given',
  finding: 'urn:mistwright:finding',
  error: 'urn:mistwright:error',
  visit: 'urn:mistwright:visit',
} as const

/** Extensions: HL7's own where there is one, otherwise ours. */
export const EXTENSION = {
  /** When the status of an order came to be what it is: an element of R5, in R4 by HL7's rule for elements of later versions. From memory. */
  statusChanged: 'http://hl7.org/fhir/5.0/StructureDefinition/extension-MedicationRequest.statusChanged',
  whileAwake: 'urn:mistwright:while-awake',
  minimumGap: 'urn:mistwright:minimum-gap',
  device: 'urn:mistwright:order-device',
  amountMost: 'urn:mistwright:amount-at-most',
  nominal: 'urn:mistwright:nominal-amount',
  contentHash: 'urn:mistwright:content-hash',
  dueAt: 'urn:mistwright:due-at',
} as const

/**
 * Vital signs whose unit is laid down, with the UCUM codes that are allowed.
 * @see HL7 FHIR R4 4.0.1, vital-signs profiles (heartrate, resprate, oxygensat, bodytemp, bodyheight, bodyweight, bp)
 */
export const VITAL_UNITS: Readonly<Record<string, readonly string[]>> = {
  '8867-4': ['/min'],
  '9279-1': ['/min'],
  '2708-6': ['%'],
  '59408-5': ['%'],
  '8310-5': ['Cel', '[degF]'],
  '8302-2': ['cm', '[in_i]'],
  '29463-7': ['g', 'kg', '[lb_av]'],
  '8480-6': ['mm[Hg]'],
  '8462-4': ['mm[Hg]'],
}
