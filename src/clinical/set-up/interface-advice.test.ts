import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { adviseInterface, type PatientForInterface } from './interface-advice.ts'

const able: PatientForInterface = {
  ageYears: 63,
  airway: 'natural',
  ability: 'follows and holds a mouthpiece',
  consciousness: 'alert',
  workOfBreathing: 'easy',
  narrowAngleGlaucoma: false,
  anticholinergic: false,
}

describe('interface advice (AARC 2012: mouthpiece when it can be used correctly, otherwise a mask, never blow-by)', () => {
  it('gives a mouthpiece with reservoir to one who holds it', () => {
    expect(adviseInterface(able)).toMatchObject({
      interface: 'mouthpiece',
      reservoir: true,
      position: 'sitting up',
    })
  })
  it.each([
    ['too young', { ageYears: 4.99 }],
    ['needs help', { ability: 'follows with help' as const }],
    ['cannot follow', { ability: 'cannot follow' as const }],
    ['drowsy', { consciousness: 'to voice' as const }],
    ['exhausted', { workOfBreathing: 'exhausted' as const }],
  ])('gives a mask to one who is %s, and says why', (_name, change) => {
    const advice = adviseInterface({ ...able, ...change })
    expect(advice.interface).toBe('mask')
    expect(advice.because).toHaveLength(1)
  })
  it('gives a mouthpiece on the fifth birthday', () => {
    expect(adviseInterface({ ...able, ageYears: 5 }).interface).toBe('mouthpiece')
  })
  it('follows the airway before anything else', () => {
    expect(adviseInterface({ ...able, airway: 'endotracheal tube' }).interface).toBe('in-line')
    expect(adviseInterface({ ...able, airway: 'tracheostomy', ability: 'cannot follow' }).interface).toBe(
      'tracheostomy collar',
    )
  })
  it('warns of the eyes only for glaucoma, anticholinergic and mask together', () => {
    const at = {
      ...able,
      ability: 'cannot follow' as const,
      narrowAngleGlaucoma: true,
      anticholinergic: true,
    }
    const warned = (patient: PatientForInterface) =>
      adviseInterface(patient).cautions.some((text) => text.includes('glaucoma'))
    expect(
      [
        at,
        { ...at, anticholinergic: false },
        { ...at, narrowAngleGlaucoma: false },
        { ...at, ability: able.ability },
      ].map(warned),
    ).toEqual([true, false, false, false])
  })
  it('always gives a reason and a source, and refuses an age that is none', () => {
    fc.assert(
      fc.property(fc.double({ min: 0, max: 120, noNaN: true }), fc.boolean(), (ageYears, anticholinergic) => {
        const advice = adviseInterface({ ...able, ageYears, anticholinergic })
        expect(advice.because.length).toBeGreaterThan(0)
        expect(advice.sources.length).toBeGreaterThan(0)
      }),
    )
    expect(() => adviseInterface({ ...able, ageYears: Number.NaN })).toThrow('ageYears')
    expect(() => adviseInterface({ ...able, ageYears: -1 })).toThrow('0 to 120')
  })
})
