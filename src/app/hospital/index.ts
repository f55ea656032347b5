/** What screens ask of the hospital beyond the record itself: what falls due, and the bedside's advice. */
export { AheadOfTheDoor, useAheadOfTheDoor, useCautionsOf } from './ahead-of-the-door.ts'
export { useBedside } from './use-bedside.ts'
export { useCalibration } from './use-calibration.ts'
export { useDueDoses } from './use-due-doses.ts'
export { useRules } from './use-rules.ts'
