import type { CupParameters } from './cup.ts'
import { JET, JET_DROPLETS, JET_ROOM_HEAT, JET_SPUTTER } from './cup-kinds.ts'
import type { CupPoint } from './cup-prior.ts'
import { helioxEnds } from './gas.ts'
import type { CheckedSetup } from './setup.ts'

/** A cup at one end of what is known. */
export type CupScenario = {
  readonly cup: CupParameters
  /** False where the run times charted here already hold what this end would change. */
  readonly decidesTime: boolean
}

/** The cup as it most likely is: by its own runs when there are any, else the published set. */
export function likelyCup({ setup }: CheckedSetup): CupParameters {
  const { calibration } = setup.cup
  return calibration ? cupAt([calibration.dropletGPerMin.likely, calibration.sputterMl.likely]) : JET
}

function cupAt([dropletGPerMin, sputterMl]: CupPoint): CupParameters {
  return { ...JET, dropletGPerMin, sputterMl }
}

/**
 * The ends to run. Without runs of its own: every corner of droplet rate, sputter volume and heat from the room.
 * With them: the rim of what the runs allow, and both ends of the heat. A helium mixture widens the droplet rate.
 */
export function cupEnds(checked: CheckedSetup): CupScenario[] {
  const { calibration } = checked.setup.cup
  const ends =
    calibration && calibration.runs > 0 ? calibratedEnds(calibration.rim, likelyCup(checked)) : CORNERS
  const heliox = helioxEnds(checked.conditions.gas)
  if (heliox.low === heliox.high) return ends
  return ends.flatMap((scenario) =>
    [heliox.low, heliox.high].map((factor) => ({
      ...scenario,
      cup: { ...scenario.cup, dropletGPerMin: scenario.cup.dropletGPerMin * factor },
    })),
  )
}

function calibratedEnds(rim: readonly CupPoint[], likely: CupParameters): CupScenario[] {
  const heats = [JET_ROOM_HEAT.low, JET_ROOM_HEAT.high].map((roomHeatWPerK) => ({
    cup: { ...likely, roomHeatWPerK },
    decidesTime: false,
  }))
  return [...rim.map((point) => ({ cup: cupAt(point), decidesTime: true })), ...heats]
}

const CORNERS: CupScenario[] = [JET_DROPLETS.low, JET_DROPLETS.high].flatMap((dropletGPerMin) =>
  [JET_SPUTTER.low, JET_SPUTTER.high].flatMap((sputterMl) =>
    [JET_ROOM_HEAT.low, JET_ROOM_HEAT.high].map((roomHeatWPerK) => ({
      cup: { ...JET, dropletGPerMin, sputterMl, roomHeatWPerK },
      decidesTime: true,
    })),
  ),
)
