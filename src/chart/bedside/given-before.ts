import { type Formulary, type GivenDose, unitSpelled } from '../../clinical/medicine/index.ts'
import type { MedicineCodes } from '../documents/medicine-codes.ts'
import type { Chart } from '../folds/chart.ts'
import type { VisitState } from '../folds/visit.ts'

/** What a patient was given, and what is on record of it that cannot be read as an amount. */
export type GivenBefore = {
  readonly doses: readonly GivenDose[]
  readonly unread: readonly { readonly medicineId: string; readonly what: string }[]
}

/** One thing given, as it is written down. */
type Written = {
  readonly medicineId: string
  readonly text: string
  readonly amount: number | null
  readonly unit: string | null
  readonly strength: string | null
  readonly route: string
  readonly at: string
}

/**
 * Everything that was given to a patient before an instant: by any order what was prepared for a treatment that
 * was started, which is the most that can have been given, and by any route what another system charted as given.
 * @param codes to read another system's codes, and a dose in mL by the strength of the container it came from
 */
export function givenBefore(
  chart: Chart,
  patientId: string,
  at: string,
  { formulary, codes }: { readonly formulary: Formulary; readonly codes: MedicineCodes },
): GivenBefore {
  const visits = chart.ordersOf(patientId).flatMap((order) => chart.visitsOf(order.orderId))
  const written = [
    ...visits.flatMap((visit) => nebulized(visit, codes)),
    ...chartedOutside(chart, patientId, formulary, codes),
  ].filter((each) => each.at < at)
  const read = written.map((each) => ({ ...each, known: unitSpelled(each.unit ?? '') }))
  return {
    doses: read.flatMap(({ medicineId, amount, known, strength, route, at: givenAt }) =>
      amount === null || amount <= 0 || known === null
        ? []
        : [{ medicineId, amount: { value: amount, unit: known }, strength, route, at: givenAt }],
    ),
    unread: read
      .filter(({ amount, known }) => amount === null || amount <= 0 || known === null)
      .map((each) => ({
        medicineId: each.medicineId,
        what: `${each.text} at ${each.at}: ${each.amount ?? 'no amount'} ${each.unit ?? ''}`.trim(),
      })),
  }
}

function nebulized({ run, prepared }: VisitState, { products }: MedicineCodes): Written[] {
  const { startedAt } = run
  if (startedAt === null) return []
  return (prepared?.body.portions ?? [])
    .filter(({ part }) => part === 'medicine')
    .map(({ medicineId, text, amount, unit, productId }) => ({
      medicineId,
      text,
      amount,
      unit,
      strength: products.find((product) => product.productId === productId)?.strength ?? null,
      route: 'inhalation',
      at: startedAt,
    }))
}

/** HL7 version 2, table 0322: refused and not administered. From memory. */
const NOT_GIVEN: readonly (string | null)[] = ['RE', 'NA']

/** What another system charted as given, where its code or name is one of the formulary's medicines. */
function chartedOutside(
  chart: Chart,
  patientId: string,
  formulary: Formulary,
  { codes }: MedicineCodes,
): Written[] {
  return chart
    .factsAbout('patient', patientId)
    .flatMap((fact) =>
      fact.kind === 'outside-record-received'
        ? fact.body.administrations.map((given) => ({ given, charted: fact.happenedAt }))
        : [],
    )
    .filter(({ given }) => !NOT_GIVEN.includes(given.status))
    .flatMap(({ given, charted }) => {
      const medicineId =
        codes.find(({ code }) => code === given.code)?.medicineId ?? formulary.named(given.medicine)?.id
      if (medicineId === undefined) return []
      const { medicine: text, amount, unit, startedAt, endedAt } = given
      const at = startedAt ?? endedAt ?? charted
      return [{ medicineId, text, amount, unit, strength: null, route: 'charted by another system', at }]
    })
}
