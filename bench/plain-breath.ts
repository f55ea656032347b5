import type { Breath } from '../src/clinical/aerosol/breath.ts'
import type { BreathSources } from '../src/clinical/aerosol/reservoir.ts'

/** How finely, and for how many breaths until the breath is steady. */
export type Steps = { readonly stepS: number; readonly breaths: number }

type Parcel = { ml: number; cup: number; exhaled: number }

/** Flow at a time into the breath [mL/s]: in above zero, out below. */
function flowAt(breath: Breath, t: number): number {
  if (t < breath.inS) return breath.peakMlPerS * Math.sin((Math.PI * t) / breath.inS)
  const peakOut = (Math.PI * breath.tidalMl) / (2 * breath.outS)
  return -peakOut * Math.sin((Math.PI * (t - breath.inS)) / breath.outS)
}

/**
 * The reservoir tube as a stack of parcels, breath by breath, in tiny steps: what is beyond need is pushed in at the
 * near end and the overflow dropped at the far end; what is lacking is taken from the near end, then from the room.
 * Deliberately plain: the closed form is judged by it.
 */
export function parcelStack(breath: Breath, flow: number, tubeMl: number, steps: Steps): BreathSources {
  const stack: Parcel[] = []
  let held = 0
  let first = 0
  let taken = { cupMl: 0, rebreathedMl: 0, roomMl: 0 }
  const push = (parcel: Parcel) => {
    stack.push(parcel)
    held += parcel.ml
    while (held > tubeMl && first < stack.length) {
      const oldest = stack[first] as Parcel
      const drop = Math.min(oldest.ml, held - tubeMl)
      oldest.ml -= drop
      held -= drop
      if (oldest.ml > 1e-12) break
      first++
    }
  }
  const draw = (lack: number) => {
    let ml = lack
    while (ml > 0 && stack.length > first) {
      const nearest = stack[stack.length - 1] as Parcel
      const take = Math.min(nearest.ml, ml)
      taken.cupMl += take * nearest.cup
      taken.rebreathedMl += take * nearest.exhaled
      nearest.ml -= take
      held -= take
      ml -= take
      if (nearest.ml <= 1e-12) stack.pop()
    }
    taken.roomMl += ml
  }
  const perBreath = Math.round(breath.totalS / steps.stepS)
  const dt = breath.totalS / perBreath
  for (let n = 0; n < steps.breaths; n++) {
    taken = { cupMl: 0, rebreathedMl: 0, roomMl: 0 }
    for (let i = 0; i < perBreath; i++) {
      const need = flowAt(breath, (i + 0.5) * dt)
      if (need < 0) {
        const ml = (flow - need) * dt
        push({ ml, cup: (flow * dt) / ml, exhaled: (-need * dt) / ml })
      } else {
        taken.cupMl += Math.min(need, flow) * dt
        if (flow > need) push({ ml: (flow - need) * dt, cup: 1, exhaled: 0 })
        else draw((need - flow) * dt)
      }
    }
  }
  return taken
}

/** The same tube mixed at once in every step: the other limit, in explicit steps. */
export function mixedByMinuteSteps(
  breath: Breath,
  flow: number,
  tubeMl: number,
  steps: Steps,
): BreathSources {
  let cup = 0
  let exhaled = 0
  let taken = { cupMl: 0, rebreathedMl: 0, roomMl: 0 }
  const perBreath = Math.round(breath.totalS / steps.stepS)
  const dt = breath.totalS / perBreath
  for (let n = 0; n < steps.breaths; n++) {
    taken = { cupMl: 0, rebreathedMl: 0, roomMl: 0 }
    for (let i = 0; i < perBreath; i++) {
      const need = flowAt(breath, (i + 0.5) * dt)
      taken.cupMl += Math.min(Math.max(need, 0), flow) * dt
      const ml = Math.abs(flow - need) * dt
      if (tubeMl === 0) {
        if (need > flow) taken.roomMl += ml
        continue
      }
      if (need > flow) {
        taken.cupMl += ml * cup
        taken.rebreathedMl += ml * exhaled
        taken.roomMl += ml * (1 - cup - exhaled)
        cup -= (cup * ml) / tubeMl
        exhaled -= (exhaled * ml) / tubeMl
      } else {
        const fresh = need < 0 ? flow / (flow - need) : 1
        cup += ((fresh - cup) * ml) / tubeMl
        exhaled += ((1 - fresh - exhaled) * ml) / tubeMl
      }
    }
  }
  return taken
}
