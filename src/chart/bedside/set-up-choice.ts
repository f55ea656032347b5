import type { BodyOf } from '../registry.ts'

/** A set-up as chosen at the bedside. */
export type SetUpChoice = Omit<BodyOf<'set-up-chosen'>, 'forecast' | 'againstAdvice' | 'sentBy'>

/** The choice that was charted, as the forecast takes it. */
export function choiceOf(body: BodyOf<'set-up-chosen'>): SetUpChoice {
  const { forecast: _, againstAdvice: __, sentBy: ___, ...choice } = body
  return choice
}
