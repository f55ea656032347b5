import { sameFamily } from '../dose/amount.ts'
import type { Backed } from './backing.ts'
import type { FormularyDocument } from './formulary-document.ts'
import type { DoseEntry, Medicine } from './medicine-schema.ts'
import type { When } from './when.ts'

/** What is wrong with a document, and where in it. */
export type FormularyProblem = { readonly where: string; readonly what: string }

/**
 * What a schema cannot say: ids that stand twice, names that point nowhere, ranges upside down, and groups that
 * claim a footing without a source.
 */
export function formularyProblems(document: FormularyDocument): readonly FormularyProblem[] {
  return [
    ...repeated(
      'sources',
      document.sources.map(({ key }) => key),
    ),
    ...repeated(
      'medicines',
      document.medicines.map(({ id }) => id),
    ),
    ...repeated(
      'conditions',
      document.conditions.map(({ code }) => code),
    ),
    ...repeated(
      'rules',
      document.rules.map(({ id }) => id),
    ),
    ...repeated(
      'pairs',
      document.mixing.pairs.map(({ a, b }) => [a, b].sort().join(' + ')),
    ),
    ...unbacked(document),
    ...lost(document),
    ...document.medicines.flatMap(doseProblems),
  ]
}

function repeated(where: string, ids: readonly string[]): FormularyProblem[] {
  const twice = new Set(ids.filter((id, at) => ids.indexOf(id) !== at))
  return [...twice].map((id) => ({ where, what: `${id} stands there more than once` }))
}

type Placed<T> = { readonly where: string; readonly it: T }

/** Every object in the document for which `is` holds, with its path. */
function found<T>(value: unknown, is: (each: object) => each is T & object, where = ''): Placed<T>[] {
  if (value === null || typeof value !== 'object') return []
  const here = is(value) ? [{ where, it: value as T }] : []
  const inside = Object.entries(value).flatMap(([key, each]) =>
    found(each, is, where ? `${where}.${key}` : key),
  )
  return [...here, ...inside]
}

const isBacked = (each: object): each is Backed => 'status' in each && 'sources' in each
const NEEDS_SOURCE = ['verified', 'verified-secondary', 'mixed', 'weak secondary', 'computed', 'design rule']

function unbacked(document: FormularyDocument): FormularyProblem[] {
  const known = new Set(document.sources.map(({ key }) => key))
  return found(document, isBacked).flatMap(({ where, it }) => [
    ...it.sources
      .filter((key) => !known.has(key))
      .map((key) => ({ where, what: `names the source ${key}, which the document does not list` })),
    ...(it.sources.length === 0 && NEEDS_SOURCE.includes(it.status)
      ? [{ where, what: `is called ${it.status} and names no source` }]
      : []),
  ])
}

const isWhen = (each: object): each is { if: When } => 'if' in each

/** Conditions, indications, groups and medicines that something names and the document does not hold. */
function lost(document: FormularyDocument): FormularyProblem[] {
  const medicines = new Set(document.medicines.map(({ id }) => id))
  const classes = document.medicines.flatMap((medicine) => medicine.classes)
  const kinds = new Set([...classes, ...document.groups.map(({ name }) => name)])
  const conditions = new Set(document.conditions.map(({ code }) => code))
  const indications = new Set(document.indications.map(({ code }) => code))
  const whens = found(document, isWhen).flatMap(({ where, it: { if: when } }) => [
    ...missing(where, when.conditions, conditions, 'condition'),
    ...missing(where, when.withoutConditions, conditions, 'condition'),
    ...missing(where, when.indications, indications, 'indication'),
    ...missing(where, when.taking, kinds, 'class or group'),
    ...missing(where, when.notTaking, kinds, 'class or group'),
  ])
  const rules = document.rules.flatMap((rule) =>
    rule.kind === 'statement'
      ? [
          ...missing(`rules.${rule.id}`, rule.for.medicines, medicines, 'medicine'),
          ...missing(`rules.${rule.id}`, rule.for.classes, kinds, 'class or group'),
        ]
      : [],
  )
  const interactions = document.interactions.flatMap((each) =>
    missing(`interactions.${each.id}`, [...each.classes, ...each.with], kinds, 'class or group'),
  )
  const parts = document.medicines.flatMap(({ id, components }) =>
    missing(
      `medicines.${id}`,
      components?.map((part) => part.medicineId),
      medicines,
      'medicine',
    ),
  )
  return [...whens, ...rules, ...interactions, ...parts]
}

function missing(
  where: string,
  named: readonly string[] | undefined,
  known: ReadonlySet<string>,
  kind: string,
): FormularyProblem[] {
  return (named ?? [])
    .filter((name) => !known.has(name))
    .map((name) => ({ where, what: `names the ${kind} ${name}, which the document does not hold` }))
}

function doseProblems({ id, doses, timing, supply }: Medicine): FormularyProblem[] {
  const where = `medicines.${id}`
  const upsideDown = doses.filter((entry) => ranges(entry).some(({ low, high }) => low > high))
  const unspoken = doses.filter((entry) => entry.use !== 'not established' && ranges(entry).length === 0)
  const wrong = supply.filter(({ amount, volumeMl, perMl }) => !concentrationAgrees(amount, volumeMl, perMl))
  const families = timing.max24h.filter(
    ({ unit }) => !supply.some((pack) => sameFamily(pack.unit, unit)) && unit !== 'vial',
  )
  return [
    ...upsideDown.map(({ text }) => ({ where, what: `a range is upside down: ${text}` })),
    ...unspoken.map(({ text }) => ({ where, what: `a dose has no figure: ${text}` })),
    ...wrong.map(({ label }) => ({ where, what: `amount, volume and strength do not agree: ${label}` })),
    ...families.map(({ unit }) => ({ where, what: `the maximum is in ${unit}, which no pack is` })),
  ]
}

function ranges({ amount, perKg, mgPerHour, mgPerKgHour }: DoseEntry) {
  const perKgHour = mgPerKgHour && { low: mgPerKgHour.rate, high: mgPerKgHour.rate }
  return [amount, perKg, mgPerHour, perKgHour].filter((range) => range !== undefined)
}

/** Strengths on labels are rounded to four figures or so. */
function concentrationAgrees(amount: number | null, volumeMl: number | null, perMl: number | null): boolean {
  if (amount === null || volumeMl === null || perMl === null) return true
  return Math.abs(amount / volumeMl / perMl - 1) < 0.001
}
