import type { PinState, ShiftPlans } from '../../chart/folds/plans.ts'
import type { ShiftProblem } from '../../shift/index.ts'

type Known = { readonly visit: string; readonly pins: readonly PinState[] }

/** The pins that stand on the visits of a problem, in the names that the visits have now. */
export function knownPins({ pins, pinsApart }: ShiftPlans, { stays }: ShiftProblem): Known[] {
  const apart = new Set(pinsApart.flatMap((each) => each.map(({ visit }) => visit)))
  const heads = [...pinsApart, ...pins.filter(({ visit }) => !apart.has(visit)).map((pin) => [pin])]
  return heads.flatMap((each) => {
    const [first] = each
    const stay = stays.find(({ doses }) =>
      doses.some((dose) =>
        first?.doses.some(
          ({ orderId, doseAt, callId }) =>
            orderId === dose.orderId && doseAt === dose.doseAt && callId === dose.callId,
        ),
      ),
    )
    return stay ? [{ visit: stay.visit, pins: each }] : []
  })
}

/** "Romy Amsel wants it with Jonas Birke at 11:20, Mirja Falk with Piet Dorn; the later counts." */
export function apartWords(
  { pins }: Known,
  place: string,
  clock: (instant: string) => string,
  nameOf: (personId: string) => string,
): string {
  const wishes = pins.map(
    ({ by, personId, startAt }) =>
      `${nameOf(by)} placed it with ${nameOf(personId)}${startAt === null ? '' : ` at ${clock(startAt)}`}`,
  )
  return `${place}: ${wishes.join('; ')}. The later counts.`
}
