import type { BodyOf } from '../registry.ts'
import type { BedsideFinding } from './finding.ts'

/**
 * What speaks against the treatment now and was not answered at the door: a pressure measured since, a dose that
 * somebody else gave meanwhile, a word of the chart that came in. Notes want no answer and are left to the door.
 */
export function sinceTheDoor(
  now: readonly BedsideFinding[],
  door: BodyOf<'door-checked'> | null,
): readonly BedsideFinding[] {
  const answered = new Set(door?.findings.map(({ code }) => code))
  return now.filter(({ code, severity }) => severity !== 'note' && !answered.has(code))
}
