import { useMemo } from 'react'
import { adviseSetUp } from '../../chart/bedside/advise-set-up.ts'
import { atTheDoor } from '../../chart/bedside/at-the-door.ts'
import { forecastVisit } from '../../chart/bedside/forecast-visit.ts'
import { planCup } from '../../chart/bedside/plan-cup.ts'
import { productsFor } from '../../chart/bedside/products.ts'
import { sinceTheDoor } from '../../chart/bedside/since-the-door.ts'
import { changesBetween, scoreOf, stopsFor } from '../../chart/bedside/watch.ts'
import { CUPS } from '../../chart/documents/cups.ts'
import { ISOLATION } from '../../chart/documents/isolation.ts'
import { MEDICINE_CODES } from '../../chart/documents/medicine-codes.ts'
import { usableUntil } from '../../chart/documents/site.ts'
import { lastMeasured } from '../../chart/stages/measure.ts'
import { readPreparationLabel, writePreparationLabel } from '../../exchange/gs1/preparation-label.ts'
import { readMedicineScan, readWristband } from '../../exchange/gs1/scan.ts'
import { useDocument, useFormulary, usePastTold, useSite } from '../local/hooks.ts'
import type { Bedside } from '../screens/visit/bedside.ts'
import { useDesk } from '../screens/visit/desk.ts'
import { calibrationFor } from './use-calibration.ts'
import { useDueDoseAt } from './use-due-doses.ts'

/** What the clinical rooms say of the visit in hand, by the documents in force. Asked anew when a fact is added. */
export function useBedside(): Bedside {
  const { chart, visit, order, patient, terms, today, now } = useDesk()
  const codes = useDocument(MEDICINE_CODES)
  const cups = useDocument(CUPS)
  const isolation = useDocument(ISOLATION)
  const site = useSite()
  const formulary = useFormulary()
  const dueDoseAt = useDueDoseAt()
  const { runs } = usePastTold()
  // What the door says follows the chart and the minute, not every tick of the timer.
  const minute = `${now.slice(0, 16)}:00.000Z`
  const { revision } = chart
  // biome-ignore lint/correctness/useExhaustiveDependencies: the chart stays the same object; its revision tells of change
  return useMemo(() => {
    const medicineIds = terms.medicines
      .filter(({ part }) => part === 'medicine')
      .flatMap(({ medicineId }) => medicineId ?? [])
    const inHand = visit.medicines.flatMap(
      ({ body }) => codes.products.find(({ productId }) => productId === body.productId) ?? [],
    )
    const before = lastMeasured(visit, 'before')?.values ?? {}
    const after = lastMeasured(visit, 'after')?.values ?? {}
    const prepared = visit.prepared?.body ?? null
    const doorChecked = visit.door?.body ?? null
    const dose = visit.doseAt === null ? null : dueDoseAt(order.orderId, visit.doseAt)
    const documents = { formulary, isolation, site, codes }
    const door = atTheDoor(chart, order, documents, visit.run.startedAt ?? minute, dose)
    return {
      door,
      products: codes.products.length === 0 ? [] : productsFor(codes, medicineIds),
      readWristband: (scan) => readWristband(scan, today, site.scannerSeparatorSubstitute),
      readMedicine: (scan) => {
        const read = readMedicineScan(scan, today, site.scannerSeparatorSubstitute)
        if (!read.ok) return read
        const product = codes.products.find(({ gtins }) => gtins.includes(read.gtin))
        if (!product) return { ok: false, what: `Product ${read.gtin} is not on this hospital’s list.` }
        return { ok: true, product, gtin: read.gtin, lot: read.lot, expiry: read.expiry }
      },
      readLabel: (scan) => readPreparationLabel(scan, today, site.scannerSeparatorSubstitute),
      writeLabel: (labelCode, useBy) =>
        writePreparationLabel({ labelCode, patient: patient.mrn ?? '', order: terms.placer, useBy }),
      usableUntil: (preparedAt) => usableUntil(site, preparedAt),
      prepare: () => {
        const plan = planCup(formulary, terms, inHand)
        if ('refused' in plan) return plan
        return { ...plan, findings: [...sinceTheDoor(door.findings, doorChecked), ...plan.findings] }
      },
      setUp: () => adviseSetUp(formulary, before, patient, medicineIds, cups, minute),
      forecast: (choice) =>
        forecastVisit(choice, {
          prepared,
          patient,
          before,
          cups,
          // Its own run must not tell a visit what to expect of it.
          calibration: (cupId) => calibrationFor(chart, runs, cupId, visit.run.startedAt ?? minute),
          now: minute,
        }),
      stops: (values) =>
        stopsFor('during', values, before, patient, {
          formulary,
          medicineIds,
          gas: visit.setUp?.body.gas ?? null,
          at: minute,
        }),
      score: (values) => scoreOf(values, patient, minute),
      changes: () => changesBetween(before, after),
    }
  }, [
    chart,
    revision,
    visit,
    order,
    patient,
    terms,
    today,
    minute,
    codes,
    cups,
    isolation,
    site,
    formulary,
    dueDoseAt,
    runs,
  ])
}
