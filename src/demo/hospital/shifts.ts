import { zoneOf } from '../../chart/timing/zone.ts'

/** A shift of the two days around now. `isOpposite`: night when it is day now, day when it is night. */
export type DemoShift = { readonly from: string; readonly to: string; readonly isOpposite: boolean }

const SHIFTS_BACK = 4
const SHIFTS_AHEAD = 2

/** The present shift, those of two days before it and the next ones, by the hospital's own hours and clock. */
export function shiftsAround(
  nowMs: number,
  site: {
    readonly timeZone: string
    readonly shifts: { readonly dayFrom: string; readonly nightFrom: string }
  },
): DemoShift[] {
  const zone = zoneOf(site.timeZone)
  const [day, night] = [minutes(site.shifts.dayFrom), minutes(site.shifts.nightFrom)]
  const today = zone.wallAt(nowMs).day
  const starts = [-3, -2, -1, 0, 1, 2]
    .flatMap((offset) => [day, night].map((minute) => zone.place({ day: today + offset, minute }).ms))
    .sort((a, b) => a - b)
  const present = starts.findLastIndex((start) => start <= nowMs)
  return starts.flatMap((start, index) => {
    const end = starts[index + 1]
    if (end === undefined || index < present - SHIFTS_BACK || index > present + SHIFTS_AHEAD) return []
    return [
      {
        from: new Date(start).toISOString(),
        to: new Date(end).toISOString(),
        isOpposite: (index - present) % 2 !== 0,
      },
    ]
  })
}

function minutes(clock: string): number {
  const [hours = 0, rest = 0] = clock.split(':').map(Number)
  return hours * 60 + rest
}
