/**
 * FHIR R4 as it is written and read here, with FHIR's own names. Only elements that this program puts in or takes out
 * are typed; what else a resource holds was checked against the table of shapes, is kept with the message, and is not
 * interpreted.
 */
export type Coding = {
  readonly system?: string
  readonly code?: string
  readonly display?: string
}
export type CodeableConcept = { readonly coding?: readonly Coding[]; readonly text?: string }
export type Identifier = {
  readonly type?: CodeableConcept
  readonly system?: string
  readonly value?: string
}
export type Reference = {
  readonly reference?: string
  readonly type?: string
  readonly identifier?: Identifier
  readonly display?: string
}
export type Period = { readonly start?: string; readonly end?: string }
export type Quantity = {
  readonly value?: number
  readonly comparator?: string
  readonly unit?: string
  readonly system?: string
  readonly code?: string
}
export type Ratio = { readonly numerator?: Quantity; readonly denominator?: Quantity }
export type Extension = {
  readonly url: string
  readonly valueBoolean?: boolean
  readonly valueString?: string
  readonly valueDateTime?: string
  readonly valueDuration?: Quantity
  readonly valueQuantity?: Quantity
}
export type Annotation = { readonly text: string; readonly time?: string }

type Base = {
  readonly id?: string
  readonly meta?: { readonly lastUpdated?: string; readonly profile?: readonly string[] }
  readonly extension?: readonly Extension[]
  readonly modifierExtension?: readonly Extension[]
  readonly contained?: readonly Resource[]
}

export type HumanName = {
  readonly use?: string
  readonly text?: string
  readonly family?: string
  readonly given?: readonly string[]
}

export type Patient = Base & {
  readonly resourceType: 'Patient'
  readonly identifier?: readonly Identifier[]
  readonly active?: boolean
  readonly name?: readonly HumanName[]
  readonly gender?: 'male' | 'female' | 'other' | 'unknown'
  readonly birthDate?: string
  readonly deceasedBoolean?: boolean
  readonly deceasedDateTime?: string
}

export type Practitioner = Base & {
  readonly resourceType: 'Practitioner'
  readonly identifier?: readonly Identifier[]
  readonly active?: boolean
  readonly name?: readonly HumanName[]
}

export type Location = Base & {
  readonly resourceType: 'Location'
  readonly status?: string
  readonly name?: string
  readonly mode?: string
  readonly physicalType?: CodeableConcept
  readonly partOf?: Reference
}

export type Encounter = Base & {
  readonly resourceType: 'Encounter'
  readonly identifier?: readonly Identifier[]
  readonly status: string
  readonly class: Coding
  readonly subject?: Reference
  readonly participant?: readonly {
    readonly type?: readonly CodeableConcept[]
    readonly individual?: Reference
  }[]
  readonly period?: Period
  readonly location?: readonly { readonly location: Reference; readonly status?: string }[]
}

export type TimingRepeat = {
  readonly boundsPeriod?: Period
  readonly boundsDuration?: Quantity
  readonly boundsRange?: object
  readonly count?: number
  readonly countMax?: number
  readonly duration?: number
  readonly durationMax?: number
  readonly frequency?: number
  readonly frequencyMax?: number
  readonly period?: number
  readonly periodMax?: number
  readonly periodUnit?: string
  readonly dayOfWeek?: readonly string[]
  readonly timeOfDay?: readonly string[]
  readonly when?: readonly string[]
  readonly offset?: number
}
export type Timing = {
  readonly extension?: readonly Extension[]
  readonly modifierExtension?: readonly Extension[]
  readonly event?: readonly string[]
  readonly repeat?: TimingRepeat
  readonly code?: CodeableConcept
}
export type Dosage = {
  readonly extension?: readonly Extension[]
  readonly modifierExtension?: readonly Extension[]
  readonly sequence?: number
  readonly text?: string
  readonly additionalInstruction?: readonly CodeableConcept[]
  readonly patientInstruction?: string
  readonly timing?: Timing
  readonly asNeededBoolean?: boolean
  readonly asNeededCodeableConcept?: CodeableConcept
  readonly site?: CodeableConcept
  readonly route?: CodeableConcept
  readonly method?: CodeableConcept
  readonly doseAndRate?: readonly {
    readonly doseQuantity?: Quantity
    readonly doseRange?: { readonly low?: Quantity; readonly high?: Quantity }
    readonly rateQuantity?: Quantity
    readonly rateRatio?: Ratio
    readonly rateRange?: object
  }[]
  readonly maxDosePerPeriod?: Ratio
  readonly maxDosePerAdministration?: Quantity
  readonly maxDosePerLifetime?: Quantity
}

export type Medication = Base & {
  readonly resourceType: 'Medication'
  readonly code?: CodeableConcept
  readonly batch?: { readonly lotNumber?: string; readonly expirationDate?: string }
  readonly ingredient?: readonly {
    readonly extension?: readonly Extension[]
    readonly itemCodeableConcept?: CodeableConcept
    readonly itemReference?: Reference
    readonly isActive?: boolean
    readonly strength?: Ratio
  }[]
}

export type MedicationRequest = Base & {
  readonly resourceType: 'MedicationRequest'
  readonly identifier?: readonly Identifier[]
  readonly status: string
  readonly statusReason?: CodeableConcept
  readonly intent: string
  readonly priority?: string
  readonly doNotPerform?: boolean
  readonly medicationCodeableConcept?: CodeableConcept
  readonly medicationReference?: Reference
  readonly subject: Reference
  readonly encounter?: Reference
  readonly authoredOn?: string
  readonly requester?: Reference
  readonly reasonCode?: readonly CodeableConcept[]
  readonly groupIdentifier?: Identifier
  readonly note?: readonly Annotation[]
  readonly dosageInstruction?: readonly Dosage[]
  readonly detectedIssue?: readonly Reference[]
}

export type MedicationAdministration = Base & {
  readonly resourceType: 'MedicationAdministration'
  readonly identifier?: readonly Identifier[]
  readonly status: string
  readonly statusReason?: readonly CodeableConcept[]
  readonly category?: CodeableConcept
  readonly medicationCodeableConcept?: CodeableConcept
  readonly medicationReference?: Reference
  readonly subject: Reference
  readonly context?: Reference
  readonly effectiveDateTime?: string
  readonly effectivePeriod?: Period
  readonly performer?: readonly { readonly actor: Reference }[]
  readonly request?: Reference
  readonly note?: readonly Annotation[]
  readonly dosage?: {
    readonly extension?: readonly Extension[]
    readonly modifierExtension?: readonly Extension[]
    readonly text?: string
    readonly route?: CodeableConcept
    readonly method?: CodeableConcept
    readonly dose?: Quantity
  }
}

export type ObservationValue = {
  readonly valueQuantity?: Quantity
  readonly valueCodeableConcept?: CodeableConcept
  readonly valueString?: string
  readonly valueBoolean?: boolean
  readonly valueInteger?: number
  readonly dataAbsentReason?: CodeableConcept
  readonly interpretation?: readonly CodeableConcept[]
}
export type Observation = Base &
  ObservationValue & {
    readonly resourceType: 'Observation'
    readonly identifier?: readonly Identifier[]
    readonly partOf?: readonly Reference[]
    readonly status: string
    readonly category?: readonly CodeableConcept[]
    readonly code: CodeableConcept
    readonly subject?: Reference
    readonly encounter?: Reference
    readonly effectiveDateTime?: string
    readonly effectivePeriod?: Period
    readonly effectiveInstant?: string
    readonly issued?: string
    readonly performer?: readonly Reference[]
    readonly note?: readonly Annotation[]
    readonly bodySite?: CodeableConcept
    readonly hasMember?: readonly Reference[]
    readonly component?: readonly ({ readonly code: CodeableConcept } & ObservationValue)[]
  }

export type DetectedIssue = Base & {
  readonly resourceType: 'DetectedIssue'
  readonly status: string
  readonly code?: CodeableConcept
  readonly severity?: 'high' | 'moderate' | 'low'
  readonly patient?: Reference
  readonly identifiedDateTime?: string
  readonly implicated?: readonly Reference[]
  readonly detail?: string
  readonly mitigation?: readonly {
    readonly action: CodeableConcept
    readonly date?: string
    readonly author?: Reference
  }[]
}

export type Provenance = Base & {
  readonly resourceType: 'Provenance'
  readonly target: readonly Reference[]
  readonly occurredDateTime?: string
  readonly recorded: string
  readonly reason?: readonly CodeableConcept[]
  readonly activity?: CodeableConcept
  readonly agent: readonly { readonly type?: CodeableConcept; readonly who: Reference }[]
  readonly signature?: readonly {
    readonly extension?: readonly Extension[]
    readonly type: readonly Coding[]
    readonly when: string
    readonly who: Reference
  }[]
}

export type Task = Base & {
  readonly resourceType: 'Task'
  readonly basedOn?: readonly Reference[]
  readonly status: string
  readonly businessStatus?: CodeableConcept
  readonly intent: string
  readonly code?: CodeableConcept
  readonly focus?: Reference
  readonly for?: Reference
  readonly encounter?: Reference
  readonly executionPeriod?: Period
  readonly owner?: Reference
  readonly note?: readonly { readonly text: string }[]
  readonly restriction?: { readonly period?: Period }
  readonly output?: readonly { readonly type: CodeableConcept; readonly valueReference: Reference }[]
  readonly extension?: readonly Extension[]
}

export type AuditEvent = Base & {
  readonly resourceType: 'AuditEvent'
  readonly type: Coding
  readonly subtype?: readonly Coding[]
  readonly action?: string
  readonly recorded: string
  readonly outcome?: string
  readonly agent: readonly { readonly who?: Reference; readonly requestor: boolean }[]
  readonly source: { readonly observer: Reference }
  readonly entity?: readonly {
    readonly what?: Reference
    readonly name?: string
    readonly description?: string
  }[]
}

export type OutcomeIssue = {
  readonly severity: 'fatal' | 'error' | 'warning' | 'information'
  readonly code: string
  readonly details?: CodeableConcept
  readonly diagnostics?: string
  readonly expression?: readonly string[]
}
export type OperationOutcome = Base & {
  readonly resourceType: 'OperationOutcome'
  readonly issue: readonly OutcomeIssue[]
}

export type AllergyIntolerance = Base & {
  readonly resourceType: 'AllergyIntolerance'
  readonly clinicalStatus?: CodeableConcept
  readonly verificationStatus?: CodeableConcept
  readonly code?: CodeableConcept
  readonly patient: Reference
  readonly reaction?: readonly {
    readonly manifestation: readonly CodeableConcept[]
    readonly severity?: string
  }[]
}

export type BundleEntry = {
  readonly fullUrl?: string
  readonly resource?: Resource
  readonly search?: { readonly mode: 'match' | 'include' | 'outcome' }
  readonly request?: {
    readonly method: string
    readonly url: string
    readonly ifMatch?: string
    readonly ifNoneMatch?: string
    readonly ifModifiedSince?: string
    readonly ifNoneExist?: string
  }
  readonly response?: {
    readonly status: string
    readonly location?: string
    readonly outcome?: OperationOutcome
  }
}
export type Bundle = Base & {
  readonly resourceType: 'Bundle'
  readonly identifier?: Identifier
  readonly type: string
  readonly timestamp?: string
  readonly total?: number
  readonly link?: readonly { readonly relation: string; readonly url: string }[]
  readonly entry?: readonly BundleEntry[]
}

/** A resource of a type that is not written or interpreted here. */
export type OtherResource = Base & { readonly resourceType: string }

export type OwnResource =
  | Patient
  | Practitioner
  | Location
  | Encounter
  | MedicationRequest
  | MedicationAdministration
  | Medication
  | Observation
  | DetectedIssue
  | Provenance
  | Task
  | AuditEvent
export type Resource = OwnResource | OperationOutcome | AllergyIntolerance | Bundle | OtherResource
