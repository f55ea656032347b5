import type { DocumentsInForce } from '../chart/documents/documents-in-force.ts'
import { formularyFrom } from '../chart/documents/formulary-in-force.ts'
import type { Chart } from '../chart/folds/chart.ts'
import { ageAt } from '../chart/folds/patient.ts'
import { equipmentFor } from '../clinical/medicine/index.ts'
import { type ExpectedRun, expectedRun } from './set-up-forecast.ts'
import type { Stay } from './stay.ts'

type Documents = DocumentsInForce['documents']
type Item = Documents['equipment']['content']['items'][number]

export type CarryLine = { readonly what: string; readonly count: number }
export type MedicineLine = {
  readonly text: string
  readonly productId: string | null
  readonly doses: number
  /** Of all doses together. */
  readonly amount: number | null
  readonly unit: string | null
  readonly volumeMl: number
}

/** Gas that runs from a cylinder would use, and how full each kind of cylinder would have to be, its reserve included. */
export type GasLine = {
  readonly gas: string
  readonly liters: number
  readonly cylinders: readonly { readonly id: string; readonly needPsi: number; readonly enough: boolean }[]
}

/** What to take along for a round. */
export type CarryList = {
  readonly medicines: readonly MedicineLine[]
  readonly nebulizers: readonly CarryLine[]
  readonly interfaces: readonly CarryLine[]
  readonly filters: readonly CarryLine[]
  readonly always: readonly string[]
  readonly gases: readonly GasLine[]
  /** Doses whose cup cannot be worked out, with the reason: ask before setting out. */
  readonly unclear: readonly { readonly title: string; readonly why: string }[]
}

type Run = { readonly stay: Stay; readonly title: string; readonly expected: ExpectedRun }

/** What a round of these stays asks for: from the orders, the set-ups as chosen or advised, and the equipment's own rules. */
export function carryList(stays: readonly Stay[], chart: Chart, documents: Documents, at: string): CarryList {
  const runs = stays
    .filter(({ finishes }) => finishes === null)
    .flatMap((stay) =>
      stay.doses.flatMap(({ orderId, title }): Run[] => {
        const order = chart.order(orderId)
        return order ? [{ stay, title, expected: expectedRun(chart, order, documents, at) }] : []
      }),
    )
  const items = documents.equipment.content.items
  return {
    medicines: medicineLines(runs),
    nebulizers: counted(firstUses(runs, documents).map(({ name }) => name)),
    interfaces: counted(newPatients(runs).map((run) => interfaceName(run, chart, items, at))),
    filters: counted(runs.flatMap((run) => filtersOf(run, documents, items))),
    always: items
      .filter(({ carry, category }) => carry === 'always' && category !== 'interface')
      .map(({ name }) => name),
    gases: gasLines(runs, documents),
    unclear: runs.flatMap(({ title, expected }) =>
      expected.cup === null ? [{ title, why: expected.whyNot ?? '' }] : [],
    ),
  }
}

function medicineLines(runs: readonly Run[]): MedicineLine[] {
  const lines = new Map<string, MedicineLine>()
  for (const { text, productId, amount, unit, volumeMl } of runs.flatMap(
    ({ expected }) => expected.cup?.portions ?? [],
  )) {
    const key = JSON.stringify([text, productId, unit])
    const before = lines.get(key)
    lines.set(key, {
      text,
      productId,
      unit,
      doses: (before?.doses ?? 0) + 1,
      amount: amount === null ? null : thousandths((before?.amount ?? 0) + amount),
      volumeMl: thousandths((before?.volumeMl ?? 0) + volumeMl),
    })
  }
  return [...lines.values()].sort((a, b) => (a.text < b.text ? -1 : 1))
}

const thousandths = (value: number) => Math.round(value * 1000) / 1000

/** Cups that are not at the bedside yet: the patient's own is used again where its kind may be. */
function firstUses(runs: readonly Run[], documents: Documents) {
  const taken = new Set<string>()
  return runs.flatMap(({ stay, expected }) => {
    const cup = documents.cups.content.cups.find(({ id }) => id === expected.choice.cupId)
    if (!cup) return []
    const key = `${stay.patientId} ${cup.id}`
    const again = cup.use === 'one patient' && (taken.has(key) || expected.asBefore)
    taken.add(key)
    return again ? [] : [cup]
  })
}

function newPatients(runs: readonly Run[]): Run[] {
  const seen = new Set<string>()
  return runs.filter(({ stay, expected }) => {
    const fresh = !expected.asBefore && !seen.has(stay.patientId)
    seen.add(stay.patientId)
    return fresh
  })
}

function interfaceName({ stay, expected }: Run, chart: Chart, items: readonly Item[], at: string): string {
  const named = (id: string) => items.find((item) => item.id === id)?.name ?? id
  const years = ageAt(chart.patient(stay.patientId).dob, at)?.years ?? 40
  switch (expected.choice.interface) {
    case 'mouthpiece':
      return named('mouthpiece')
    case 'tracheostomy collar':
      return named('tracheostomy-collar')
    case 'in-line':
      return named('inline-adapter')
    default:
      return named(years < 2 ? 'mask-infant' : years < 12 ? 'mask-child' : 'mask-adult')
  }
}

function filtersOf({ expected }: Run, documents: Documents, items: readonly Item[]): string[] {
  const medicineIds = (expected.cup?.portions ?? []).flatMap(({ medicineId, part }) =>
    part === 'medicine' ? [medicineId] : [],
  )
  const asked = equipmentFor(formularyFrom(documents), medicineIds).requirements
  const filtered = asked.some(({ what, need }) => need !== 'advised' && /filter/i.test(what))
  return filtered ? items.filter(({ category }) => category === 'filter').map(({ name }) => name) : []
}

function gasLines(runs: readonly Run[], documents: Documents): GasLine[] {
  const liters = new Map<string, number>()
  for (const { expected, stay } of runs) {
    const { gas, flowLPerMin } = expected.choice
    const minutes =
      stay.minutes.runs.reduce((sum, run) => sum + run.minutes, 0) / Math.max(1, stay.minutes.runs.length)
    liters.set(gas, (liters.get(gas) ?? 0) + flowLPerMin * minutes)
  }
  return [...liters].sort().map(([gas, used]) => ({
    gas,
    liters: Math.ceil(used),
    cylinders: documents.equipment.content.cylinders
      .filter((cylinder) => cylinder.gas === gas)
      .map(({ id, litersPerPsi, fullPsi, reservePsi }) => {
        const needPsi = Math.ceil(used / litersPerPsi) + reservePsi
        return { id, needPsi, enough: needPsi <= fullPsi }
      }),
  }))
}

function counted(names: readonly string[]): CarryLine[] {
  return [...new Set(names)]
    .sort()
    .map((what) => ({ what, count: names.filter((name) => name === what).length }))
}
