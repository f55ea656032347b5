import { describe, expect, it } from 'vitest'
import { ADULT, SETUPS } from '../../../bench/forecast-setups.ts'
import { explainForecast } from './explain-forecast.ts'
import { FIGURES, type FigureName } from './figures.ts'
import { forecast } from './forecast.ts'

describe('the working of a forecast', () => {
  it.each(SETUPS.map((setup, i) => [i, setup] as const))(
    'gives each known figure its value, unit, ends, steps with numbers, sources and cover: set-up %i',
    (_, setup) => {
      const made = forecast(setup)
      const explained = explainForecast(setup, made)
      for (const name of Object.keys(FIGURES) as FigureName[]) {
        const worked = explained[name]
        expect(worked?.value).toBe(made.figures[name]?.likely)
        if (!worked) continue
        expect(worked.unit).toBe(FIGURES[name].unit)
        expect(worked.spread).toEqual({ low: made.figures[name]?.low, high: made.figures[name]?.high })
        expect(worked.steps.length).toBeGreaterThanOrEqual(2)
        expect(worked.steps.join(' ')).not.toMatch(/NaN|undefined|Infinity/)
        expect(worked.sources.length).toBeGreaterThan(0)
        expect(worked.validity?.length).toBeGreaterThan(20)
      }
    },
  )
  it('shows the arithmetic that a person can check', () => {
    const { gasUsedL, inhaledMg } = explainForecast(ADULT, forecast(ADULT))
    expect(gasUsedL?.steps).toContain('8 L/min × 9.92 min = 79.4 L.')
    expect(inhaledMg?.steps[0]).toBe('1.14 mg leave the cup × 0.488 = 0.555 mg.')
  })
  it('leaves out what is not known', () => {
    const collar = { ...ADULT, interface: { kind: 'tracheostomy collar' as const }, reservoirMl: 0 }
    const explained = explainForecast(collar, forecast(collar))
    expect(explained.lungMg).toBeUndefined()
    expect(explained.minutesToEnd?.value).toBeGreaterThan(0)
  })
})
