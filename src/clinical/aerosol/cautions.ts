import { COVERED_CHECKED_FILL } from './cup-kinds.ts'
import { likelyCup } from './cup-scenarios.ts'
import type { CheckedSetup } from './setup.ts'

/** What a person must know before trusting the figures of this set-up; each a sentence, most weighty first. */
export function cautionsOf(checked: CheckedSetup, coolestCel: number | null): string[] {
  const { setup } = checked
  const cautions: string[] = []
  if (setup.interface.kind === 'mask held off') {
    cautions.push('A mask held off loses most of the dose, and how much cannot be promised: use a snug mask.')
  }
  if (setup.lungs === 'obstructed') {
    cautions.push(
      'In obstructed lungs more lands in the central airways, and more in all: the regions are those of healthy adults.',
    )
  }
  if (setup.body.kind === 'child') {
    cautions.push(
      'Under 18 years the lung is scaled from the adult by weight: outside the range that was checked.',
    )
  }
  if (checked.conditions.gas.kind.startsWith('heliox')) {
    cautions.push(
      'How much less mist a helium mixture makes is from memory; droplets in it were not modeled.',
    )
  }
  if (coolestCel !== null && coolestCel < 0) {
    cautions.push('The medicine may cool below freezing; ice was not modeled.')
  }
  return [...cautions, ...cupCautions(checked)]
}

function cupCautions(checked: CheckedSetup): string[] {
  const { setup, kind } = checked
  if (kind === 'mesh') return []
  const cautions: string[] = []
  const { sputterMl } = likelyCup(checked)
  if (setup.fillMl < 2 * sputterMl) {
    cautions.push(
      `The fill is less than twice the ${sputterMl.toFixed(1)} mL at which this cup sputters: much of the dose stays behind.`,
    )
  }
  if (setup.fillMl < COVERED_CHECKED_FILL.low || setup.fillMl > COVERED_CHECKED_FILL.high) {
    cautions.push('Runs were compared with published ones from 2 to 6 mL only.')
  }
  if (!setup.cup.calibration || setup.cup.calibration.runs === 0) {
    cautions.push('No runs of this cup were charted here: the range is that of cups in general.')
  }
  if (setup.medicine.form === 'suspension') {
    cautions.push(
      'A suspension may leave the cup more slowly than its water: what leaves is an upper figure.',
    )
  }
  return cautions
}
