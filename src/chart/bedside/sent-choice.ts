import type { BodyOf } from '../registry.ts'
import type { SetUpAdvice } from './advise-set-up.ts'
import type { SetUpChoice } from './set-up-choice.ts'

/** A set-up from the bench, as the visit can take it up. */
export type SentChoice = {
  readonly words: string
  readonly choice: Partial<SetUpChoice>
  /** What of it the visit cannot take over, or where it differs from what is already in the cup. */
  readonly cannot: readonly string[]
}

/** What a sent set-up says, what of it is chosen when it is taken, and what is not. */
export function sentChoice(
  sent: BodyOf<'set-up-sent'>,
  advice: SetUpAdvice,
  inTheCupMl: number | null,
): SentChoice {
  const { cupId, gas, flowLPerMin, reservoirMl, interface: through, fillMl } = sent
  const cup = advice.cups.find(({ id }) => id === cupId)
  const drivenBy = gas === 'air' || gas === 'oxygen' ? gas : 'heliox'
  const tube = reservoirMl > 0 ? ` with a tube of ${reservoirMl} mL` : ''
  const cannot = [
    ...(cup ? [] : [`Its cup (${cupId}) does not suit what is in the cup here: choose another.`]),
    ...(inTheCupMl !== null && inTheCupMl !== fillMl
      ? [`It was tried with ${fillMl} mL; ${inTheCupMl} mL are in the cup.`]
      : []),
    ...(drivenBy === 'heliox' && gas !== 'heliox 80/20'
      ? [`The forecast here is for heliox 80/20, not ${gas}.`]
      : []),
  ]
  return {
    words: `${cup?.name ?? cupId}, ${through}${tube}, ${gas} at ${flowLPerMin} L/min, ${fillMl} mL.`,
    choice: {
      ...(cup && { cupId }),
      interface: through,
      gas: drivenBy,
      flowLPerMin,
      reservoirMl,
    },
    cannot,
  }
}
