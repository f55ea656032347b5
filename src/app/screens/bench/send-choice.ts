import { z } from 'zod'
import { ROUTES } from '../../../clinical/aerosol/lung.ts'
import { type BenchSetup, GASES, INTERFACES, MASK_SHAPES } from './bench-state.ts'

/**
 * Under this key of the tab's session storage the bench leaves the set-up that was sent to a visit, as JSON of
 * `BenchChoice`. The set-up stage of that visit takes it up; a set-up for another visit stays where it is.
 */
export const BENCH_CHOICE_KEY = 'mistwright bench choice'

const BenchChoice = z.strictObject({
  visitId: z.string().min(1),
  cupId: z.string().min(1),
  fillMl: z.number().positive(),
  gas: z.enum(GASES),
  flowLPerMin: z.number().positive(),
  interface: z.enum(INTERFACES),
  distanceCm: z.number().min(0).nullable(),
  mask: z.enum(MASK_SHAPES).nullable(),
  reservoirMl: z.number().min(0),
  breathesBy: z.enum(ROUTES),
})
export type BenchChoice = z.infer<typeof BenchChoice>

type Drawer = Pick<Storage, 'getItem' | 'setItem' | 'removeItem'>

/** Leaves a set-up for a visit. Distance and mask are null unless the mask is held off. */
export function leaveChoice(drawer: Drawer, visitId: string, setup: BenchSetup): void {
  const off = setup.interface === 'mask held off'
  const choice: BenchChoice = {
    ...setup,
    visitId,
    distanceCm: off ? setup.distanceCm : null,
    mask: off ? setup.mask : null,
  }
  drawer.setItem(BENCH_CHOICE_KEY, JSON.stringify(choice))
}

/** Takes up what was sent to this visit and clears it away; null when nothing was, or nothing that can be read. */
export function takeChoice(drawer: Drawer, visitId: string): BenchChoice | null {
  const kept = drawer.getItem(BENCH_CHOICE_KEY)
  if (kept === null) return null
  const read = BenchChoice.safeParse(parsed(kept))
  if (!read.success || read.data.visitId !== visitId) return null
  drawer.removeItem(BENCH_CHOICE_KEY)
  return read.data
}

function parsed(text: string): unknown {
  try {
    return JSON.parse(text)
  } catch {
    return null
  }
}
