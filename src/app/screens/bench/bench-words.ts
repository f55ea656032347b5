import type { BenchPatient, BenchSetup } from './bench-state.ts'

const START = { mouthpiece: 'Mouthpiece', mask: 'Mask', 'tracheostomy collar': 'Tracheostomy collar' }

/** A set-up by what the patient sees of it: "Mouthpiece, 50 mL tube". */
export function setupTitle(setup: BenchSetup): string {
  const { interface: used, reservoirMl, distanceCm } = setup
  const tube = reservoirMl > 0 ? `, ${reservoirMl} mL tube` : ''
  if (used === 'mask held off') return `Mask held ${distanceCm} cm off${tube}`
  if (used === 'in-line') return `In line with a ventilator${tube}`
  return `${START[used]}${tube}`
}

/** What drives it and how full it is: "air 6 L/min, 3 mL". */
export function setupRemark({ gas, flowLPerMin, fillMl }: BenchSetup, needsGas: boolean): string {
  return needsGas ? `${gas} ${flowLPerMin} L/min, ${fillMl} mL` : `${fillMl} mL, no driving gas`
}

/** Who breathes how: "an adult breathing 500 mL, 15 a minute, in as long as out". */
export function patientWords(patient: BenchPatient): string {
  const { weightKg, tidalMl, ratePerMin, outPerIn, cannulaLPerMin, lungs } = patient
  const who = weightKg === null ? 'an adult' : `a child of ${weightKg} kg`
  const way = outPerIn === 1 ? 'in as long as out' : `out ${outPerIn} times as long as in`
  const cannula = cannulaLPerMin > 0 ? `, oxygen ${cannulaLPerMin} L/min by cannula` : ''
  const ill = lungs === 'obstructed' ? ' with obstructed lungs' : ''
  return `${who}${ill} breathing ${tidalMl} mL, ${ratePerMin} a minute, ${way}${cannula}`
}
