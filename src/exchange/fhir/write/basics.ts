import { sha256 } from '@noble/hashes/sha2.js'
import { bytesToHex, utf8ToBytes } from '@noble/hashes/utils.js'
import type { Chart } from '../../../chart/folds/chart.ts'
import type { AnyFact } from '../../../chart/registry.ts'
import type { TimingRules } from '../../../chart/timing/doses-due.ts'
import { OURS, SYSTEM } from '../codes.ts'
import type { CodeableConcept, Quantity, Reference } from '../resources.ts'

/** What the record is written from. */
export type WriteContext = {
  readonly chart: Chart
  readonly facility: string
  readonly now: string
  readonly rules: TimingRules
}

/** An id as FHIR allows it (up to 64 letters, digits, dots, hyphens): the text itself, or a hash of it where it is not. */
export function fhirId(text: string): string {
  return /^[A-Za-z0-9.-]{1,64}$/.test(text) ? text : `x-${bytesToHex(sha256(utf8ToBytes(text))).slice(0, 40)}`
}

/** When what stands in these facts was written down last. */
export function lastUpdated(facts: readonly AnyFact[]): { readonly lastUpdated: string } | null {
  let last: string | null = null
  for (const { recordedAt } of facts) if (last === null || recordedAt > last) last = recordedAt
  return last === null ? null : { lastUpdated: last }
}

/** The same as an element, or none of it. */
export function metaOf(facts: readonly AnyFact[]): { readonly meta?: { readonly lastUpdated: string } } {
  const meta = lastUpdated(facts)
  return meta === null ? {} : { meta }
}

export function reference(type: string, id: string, display?: string | null): Reference {
  return { reference: `${type}/${fhirId(id)}`, ...(display && { display }) }
}

/** Somebody of the department; whoever is not on its list is named by their sign-in name alone. */
export function personReference(
  { chart, facility }: WriteContext,
  personId: string,
  name?: string,
): Reference {
  const person = chart.person(personId)
  const display = name ?? person?.name ?? personId
  if (person) return reference('Practitioner', personId, display)
  return { type: 'Practitioner', identifier: { system: OURS.person(facility), value: personId }, display }
}

export function coded(system: string, code: string, display?: string): CodeableConcept {
  return { coding: [{ system, code, ...(display !== undefined && { display }) }] }
}

/** A code of ours with its words. */
export function ours(system: string, text: string): CodeableConcept {
  return { coding: [{ system, code: slug(text) }], text }
}

export function slug(text: string): string {
  return (
    text
      .toLowerCase()
      .replace(/[^a-z0-9]+/g, '-')
      .replace(/^-|-$/g, '') || 'x'
  )
}

/** UCUM codes of units as they are written in orders. */
const UCUM_OF: Readonly<Record<string, string>> = {
  mg: 'mg',
  g: 'g',
  mcg: 'ug',
  ug: 'ug',
  mL: 'mL',
  ml: 'mL',
  L: 'L',
  '%': '%',
  kg: 'kg',
  cm: 'cm',
  'mg/h': 'mg/h',
  'mL/h': 'mL/h',
  'mg/mL': 'mg/mL',
  'L/min': 'L/min',
  '/min': '/min',
  'mm[Hg]': 'mm[Hg]',
  Cel: 'Cel',
  '{score}': '{score}',
}

/** An amount; with a UCUM code where the unit has one. */
export function quantity(value: number, unit: string | null, shown = unit): Quantity {
  if (unit === null) return { value }
  const code = Object.hasOwn(UCUM_OF, unit) ? UCUM_OF[unit] : undefined
  return { value, unit: shown ?? unit, ...(code !== undefined && { system: SYSTEM.ucum, code }) }
}
