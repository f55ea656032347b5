import { NoPublishedData } from '../../../clinical/aerosol/cup-kinds.ts'
import type { BadInput } from '../../../clinical/worked.ts'

/** How the fields of a forecast are called on the bench. */
const CALLED: Readonly<Record<string, string>> = {
  fillMl: 'The fill',
  'gas.flowLPerMin': 'The flow',
  reservoirMl: 'The reservoir tube',
  'interface.distanceCm': 'The distance of the mask',
  'breath.tidalMl': 'The tidal volume',
  'breath.ratePerMin': 'The rate of breathing',
  'body.weightKg': 'The weight',
  'medicine.doseMg': 'The dose',
  'room.temperatureCel': 'The temperature of the room',
  'room.pressurePa': 'The air pressure',
  breathesBy: 'The way of breathing',
}

/** Why a set-up was refused: what is not known of the cup, or a sentence that says what would be taken. */
export function refusalWords(error: BadInput, cupName: string): string {
  if (error instanceof NoPublishedData) return `${cupName}. ${error.why}`
  const called = CALLED[error.field] ?? error.field
  return `${called} is ${String(error.given)}; it may be ${error.allowed}.`
}
