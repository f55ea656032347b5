/** What the trade knows of nebulized medicine: doses, mixtures, continuous treatment, the formulary, order review. */
export { MEDICINE_CALCULATIONS } from './calculations.ts'
export { type CupLevel, cupLevel, type FedCup } from './continuous/cup-level.ts'
export {
  type ContinuousMix,
  type ContinuousOrder,
  type CupOutput,
  concentrationToLoad,
  continuousMix,
  fillsOf,
  hoursOf,
} from './continuous/mix.ts'
export {
  AMOUNT_UNITS,
  type Amount,
  type AmountUnit,
  amountText,
  readAmount,
  unitSpelled,
} from './dose/amount.ts'
export {
  type ByWeight,
  doseByWeight,
  hourlyByWeight,
  hourlyFromMicrograms,
  type Limits,
  pumpSpeed,
  volumeByWeight,
} from './dose/by-weight.ts'
export { countUnits, dosePerBreaths, inVials } from './dose/counts.ts'
export { dilution, percentAfterAdding, sameDrugInStock } from './dose/dilution.ts'
export { diluteToFill, type MadeUp, type UnitDose, unitDosesPlusDiluent } from './dose/fill.ts'
export { packLike, volumeFromPack } from './dose/from-pack.ts'
export { type Measurable, measuredVolume, type Syringe } from './dose/measured-volume.ts'
export { type AtMark, type NamedSyringe, nearestMark, syringesFor } from './dose/nearest-mark.ts'
export { readStrength } from './dose/read-strength.ts'
export { type Proposal, reasonsToRefuse } from './dose/refusal.ts'
export { baseFromSalt, massOfMolar, saltFromBase } from './dose/salt-and-molar.ts'
export { type Strength, strengthMgPerMl, strengthPercent } from './dose/strength.ts'
export { massInVolume, volumeOfUnits, volumeToDraw } from './dose/volume-and-mass.ts'
export {
  defaultFormulary,
  type Formulary,
  FormularyRefused,
  formularyOf,
  loadFormulary,
} from './formulary/formulary.ts'
export { defaultFormularyDocument, FormularyDocument } from './formulary/formulary-document.ts'
export { type FormularyProblem, formularyProblems } from './formulary/formulary-problems.ts'
export type { Medicine, Supply } from './formulary/medicine-schema.ts'
export { formularyCalculations } from './formulary-calculations.ts'
export { type CupToMix, type Mixture, mixture } from './mixture/mixture.ts'
export { DILUENTS, type PairFacts, pairFacts, pairsOf, type Verdict } from './mixture/pair.ts'
export type { Portion } from './mixture/portion.ts'
export { cycleFindings } from './review/cycle-check.ts'
export { type Bedside, doorFindings } from './review/door.ts'
export { type EquipmentNeeded, equipmentFor, type Requirement } from './review/equipment.ts'
export type { Finding } from './review/finding.ts'
export { historyFindings } from './review/history-findings.ts'
export { OrderToReview } from './review/order.ts'
export { isAcute, type OrderReview, reviewOrder } from './review/order-review.ts'
export { conditionCodes, type PatientFacts, type Taken } from './review/patient.ts'
export {
  checkHistory,
  type DayTotal,
  type GapCheck,
  type GivenDose,
  type HistoryCheck,
  type ProposedDose,
} from './timing/dose-history.ts'
