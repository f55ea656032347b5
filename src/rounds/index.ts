/** Planning a shift: reading a problem, planning it, playing its events. */

export { columnBound } from './bound/column-bound.ts'
export { type Finding, readShift, ShiftRefused } from './check.ts'
export { compile } from './compile.ts'
export { type PricedPlan, pricedState } from './evaluate.ts'
export { solveExactly } from './exact/exact.ts'
export { constructed, type Effort, improve } from './improve.ts'
export { type ReplayReport, replay } from './replay.ts'
export { compileSolomon, parseSolomon, type SolomonConvention } from './solomon.ts'
