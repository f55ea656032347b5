import type { Chart } from '../../../chart/folds/chart.ts'
import { idOfNumber } from '../../../chart/ids.ts'
import { OURS, SYSTEM } from '../codes.ts'
import type { Location, Medication, Reference, Resource } from '../resources.ts'
import { codeIn, type EntryReader } from './entry-reader.ts'
import type { CheckedEntry } from './read-bundle.ts'

/** Finds what references point at: within a resource, within the bundle, or in what is known here. */
export class InBundle {
  readonly #byReference = new Map<string, CheckedEntry>()
  readonly #patientIds = new Map<number, string>()
  readonly #facility: string

  constructor(entries: readonly CheckedEntry[], facility: string) {
    this.#facility = facility
    for (const each of entries) {
      const { entry, resource } = each
      if (entry.fullUrl !== undefined) this.#byReference.set(entry.fullUrl, each)
      if (resource?.id !== undefined) this.#byReference.set(`${resource.resourceType}/${resource.id}`, each)
    }
  }

  /** A patient of the bundle has been taken in. */
  tookIn(index: number, patientId: string): void {
    this.#patientIds.set(index, patientId)
  }

  medicationOf(resource: Resource): (reference: string) => Medication | null {
    return (reference) => {
      const inside = resource.contained?.find(({ id }) => reference === `#${id}`)
      const found = inside ?? this.#resource(reference)
      return found?.resourceType === 'Medication' ? (found as Medication) : null
    }
  }

  locationOf(resource: Resource): (reference: string) => Location | null {
    return (reference) => {
      const inside = resource.contained?.find(({ id }) => reference === `#${id}`)
      const found = inside ?? this.#resource(reference)
      return found?.resourceType === 'Location' ? (found as Location) : null
    }
  }

  /** A sound resource of the bundle. */
  resource(reference: string | undefined): Resource | null {
    return reference === undefined ? null : this.#resource(reference)
  }

  /** The patient that a resource is about: of the bundle, of the census, or by record number. */
  patientId(
    reader: EntryReader,
    element: string,
    subject: Reference | undefined,
    chart: Chart,
  ): string | null {
    if (!subject) return reader.wrong('required', element, 'it does not say of whom it is')
    const { reference, identifier } = subject
    const inBundle = reference === undefined ? undefined : this.#byReference.get(reference)
    if (inBundle) {
      const patientId = this.#patientIds.get(inBundle.index)
      return (
        patientId ??
        reader.wrong('not-found', element, `its patient, entry ${inBundle.index}, could not be used`)
      )
    }
    const id = /^Patient\/([A-Za-z0-9.-]{1,64})$/.exec(reference ?? '')?.[1]
    if (id !== undefined && chart.patient(id).mrn !== null) return id
    const isNumber =
      identifier?.system === OURS.recordNumber(this.#facility) ||
      codeIn(identifier?.type, SYSTEM.identifierType) === 'MR'
    const byNumber =
      isNumber && identifier?.value ? idOfNumber('patient', this.#facility, identifier.value) : null
    if (byNumber !== null && chart.patient(byNumber).mrn !== null) return byNumber
    return reader.wrong('not-found', element, 'its patient is neither in the bundle nor known to the census')
  }

  #resource(reference: string): Resource | null {
    const found = this.#byReference.get(reference)
    return found && found.problems.length === 0 ? found.resource : null
  }
}
