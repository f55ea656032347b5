import type { BodyOf } from '../registry.ts'

type Given = BodyOf<'treatment-ended'>['given'][number]

/**
 * What was given of each medicine in the cup, in the unit ordered: nominally, and at most out of the cup when what
 * was left [mL] is known. The share of volume is an upper bound for the share of medicine, because water leaves the
 * cup as vapor too and what stays behind is stronger (Dennis 1990, droplets are about half of the loss).
 */
export function givenWhenEnded(prepared: BodyOf<'prepared'>, leftMl: number | null): readonly Given[] {
  return prepared.portions
    .filter(({ part, amount }) => part === 'medicine' && amount !== null)
    .map(({ medicineId, text, amount, unit }) => ({
      medicineId,
      text,
      nominal: amount ?? 0,
      outOfCup: leftMl === null ? null : rounded((amount ?? 0) * Math.max(0, 1 - leftMl / prepared.totalMl)),
      unit: unit ?? '',
    }))
}

/** Three significant digits: what was left is read off a cup by eye. */
function rounded(amount: number): number {
  return Number(amount.toPrecision(3))
}
