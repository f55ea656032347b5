import { describe, expect, it } from 'vitest'
import { defaultFormulary } from '../formulary/formulary.ts'
import type { Stage } from '../formulary/rule-schema.ts'
import { type Bedside, doorFindings } from './door.ts'
import { equipmentFor } from './equipment.ts'
import { holds } from './situation.ts'

const bedside = (medicineIds: string[], more: Partial<Bedside> = {}): Bedside => ({
  medicineIds,
  conditions: [],
  taking: [],
  indication: null,
  ...more,
})
const codes = (asked: Bedside, stage?: Stage) =>
  doorFindings(defaultFormulary(), asked, stage).map(({ code, severity }) => `${severity} ${code}`)

describe('at the door', () => {
  it('iloprost does not start below 85 mmHg systolic', () => {
    const at = (systolicMmHg: number) => codes(bedside(['iloprost'], { measured: { systolicMmHg } }))
    expect(at(84)).toEqual(['stop pressure-too-low:iloprost'])
    expect(at(85)).toEqual([])
    expect(codes(bedside(['iloprost']))).toEqual([])
  })
  it('a wheeze heard now is an airway narrowed now', () => {
    const wheeze = codes(bedside(['sodium-chloride-7'], { wheeze: true }))
    expect(wheeze[0]).toBe('stop contraindication:sodium-chloride-7:1')
    expect(codes(bedside(['sodium-chloride-7'], { wheeze: false }))).toEqual([
      'ask hypertonic-first-dose:sodium-chloride-7',
    ])
  })
  it('tobramycin outside the lung function of its trials', () => {
    const at = (fev1PercentPredicted: number) =>
      codes(bedside(['tobramycin'], { measured: { fev1PercentPredicted } }))
    expect(at(24.9)).toEqual(['caution caution:tobramycin:3'])
    expect(at(25)).toEqual([])
    expect(at(80)).toEqual([])
    expect(at(80.1)).toEqual(['caution caution:tobramycin:4'])
  })
  it('glaucoma, whether mask or mouthpiece is not yet chosen', () => {
    const glaucoma = [{ code: 'narrow-angle-glaucoma', text: 'glaucoma' }]
    expect(codes(bedside(['ipratropium-albuterol'], { conditions: glaucoma }))).toEqual([
      'caution eyes-and-mist:ipratropium-albuterol',
    ])
  })
  it('a third epinephrine asks for a higher level of care', () => {
    const at = (dosesBefore: number) => codes(bedside(['racemic-epinephrine'], { dosesBefore }))
    expect(at(1)).toEqual(['caution watch-after-epinephrine:racemic-epinephrine'])
    expect(at(2)).toContain('ask third-epinephrine:racemic-epinephrine')
  })
  it('the device in the hand, as soon as it is known', () => {
    expect(codes(bedside(['budesonide'], { nebulizer: 'ultrasonic' }))).toEqual([
      'stop suspension-in-ultrasonic:budesonide',
    ])
    expect(codes(bedside(['budesonide'], { nebulizer: 'jet' }))).toEqual([])
    expect(codes(bedside(['aztreonam-lysine'], { ownDevice: false }))).toEqual([
      'stop own-device:aztreonam-lysine',
    ])
    expect(codes(bedside(['aztreonam-lysine'], { ownDevice: true }))).toEqual([])
    expect(codes(bedside(['albuterol'], { ownDevice: false }))).toEqual([])
    expect(codes(bedside(['pentamidine'], { filter: false }))).toEqual([
      'stop filter-missing:pentamidine',
      'ask room-and-filter:pentamidine',
    ])
    expect(codes(bedside(['albuterol'], { interface: 'mask held off' }))).toEqual(['caution held-off'])
    expect(codes(bedside(['albuterol'], { interface: 'mask' }))).toEqual([])
    expect(codes(bedside(['colistimethate'], { premixed: true }))[0]).toBe('stop premixed:colistimethate')
  })
  it('several treatments in one visit have an order; drugs in one cup are one treatment', () => {
    expect(codes(bedside(['albuterol', 'acetylcysteine']))).toEqual([
      'caution caution:acetylcysteine:2',
      'note order-of-drugs',
    ])
    expect(codes(bedside(['albuterol', 'ipratropium'], { mixed: true }))).toEqual([])
    expect(codes(bedside(['albuterol'], { several: true }))).toEqual(['note order-of-drugs'])
  })
  it('speaks of what comes after, after', () => {
    expect(codes(bedside(['budesonide']), 'after')).toEqual(['note rinse-after:budesonide'])
    expect(codes(bedside(['lidocaine']), 'after')).toEqual(['ask numb-throat:lidocaine'])
    expect(codes(bedside(['albuterol'], { conditions: [{ code: 'I48', text: 'AF' }] }), 'after')).toEqual([])
  })
  it('asks about conditions that the chart does not speak of, where the medicine has any', () => {
    expect(codes(bedside(['albuterol'], { conditions: null }))).toEqual(['ask conditions-unknown'])
    expect(codes(bedside(['dornase'], { conditions: null }))).toEqual(['ask conditions-unknown'])
    expect(codes(bedside(['budesonide'], { conditions: null }))).toEqual([])
  })
  it('says why, in the words of the chart', () => {
    const [first] = doorFindings(
      defaultFormulary(),
      bedside(['albuterol'], {
        conditions: [
          { code: 'I48.0', text: 'AF' },
          { code: 'hypertension', text: 'BP' },
        ],
      }),
    )
    expect(first).toMatchObject({
      code: 'caution:albuterol:1',
      what: 'albuterol: heart: coronary disease, arrhythmia or high blood pressure: watch rate and rhythm',
      why: 'the chart says: arrhythmia, high blood pressure',
      whoMustAnswer: 'therapist',
    })
  })
  it('passes over what the formulary does not hold', () => {
    expect(codes(bedside(['snow']))).toEqual([])
  })
})

describe('whether a rule holds', () => {
  it('is yes, no or unknown; one no decides', () => {
    const asthma = { conditions: ['asthma'] }
    expect(holds({}, {})).toBe('yes')
    expect(holds(asthma, {})).toBe('unknown')
    expect(holds(asthma, { conditions: new Set() })).toBe('no')
    expect(holds(asthma, { conditions: new Set(['asthma']) })).toBe('yes')
    expect(holds({ ...asthma, mixed: true }, { mixed: false })).toBe('no')
    expect(holds({ ...asthma, mixed: true }, { mixed: true })).toBe('unknown')
    expect(holds({ withoutConditions: ['asthma'] }, {})).toBe('unknown')
    expect(holds({ notTaking: ['x'] }, { taking: new Set(['x']) })).toBe('no')
    expect(holds({ notTaking: ['x'] }, { taking: new Set(['y']) })).toBe('yes')
    expect(holds({ dosesBefore: { from: 2 } }, {})).toBe('unknown')
    expect(holds({ measured: { systolicMmHg: { below: 85 } } }, { measured: {} })).toBe('unknown')
    expect(
      holds({ measured: { systolicMmHg: { below: 85 } } }, { measured: { systolicMmHg: Number.NaN } }),
    ).toBe('no')
    expect(holds({ preservatives: ['p'] }, { preservatives: new Set(['p']) })).toBe('yes')
    expect(holds({ indications: ['acute'] }, { indications: new Set() })).toBe('no')
  })
})

describe('equipmentFor', () => {
  it('gives what suits all drugs of a cup, and why the others do not', () => {
    const needed = equipmentFor(defaultFormulary(), ['albuterol', 'budesonide'])
    expect(needed.nebulizers).toEqual(['jet', 'breath-enhanced', 'breath-actuated'])
    expect(needed.interfaces).toEqual(['mouthpiece', 'mask'])
    expect(
      needed.unsuitable.find(({ kind, why }) => kind === 'ultrasonic' && why.startsWith('budesonide'))?.why,
    ).toBe('budesonide is a suspension: its label rules out this kind')
    expect(needed.unsuitable.find(({ kind }) => kind === 'large-volume')?.why).toBe(
      'albuterol: no source names this kind',
    )
  })
  it('has no kind at all for two drugs with devices of their own', () => {
    expect(equipmentFor(defaultFormulary(), ['treprostinil', 'aztreonam-lysine']).nebulizers).toEqual([])
  })
  it('prefers a mouthpiece where a label does', () => {
    expect(equipmentFor(defaultFormulary(), ['ipratropium']).preferred).toBe('mouthpiece')
    expect(equipmentFor(defaultFormulary(), ['albuterol']).preferred).toBeNull()
  })
  it.each([
    ['tobramycin', ['listed-device', 'filter', 'bystanders']],
    ['budesonide', ['not-this-kind']],
    ['sodium-chloride-7', ['mouthpiece', 'bronchodilator-first']],
    ['amikacin', ['filter', 'bystanders']],
    ['treprostinil', ['own-device', 'bystanders']],
    ['terbutaline', []],
  ])('%s calls for %j', (id, wanted) => {
    expect(equipmentFor(defaultFormulary(), [id]).requirements.map(({ code }) => code)).toEqual(
      wanted.map((each) => `${each}:${id}`),
    )
  })
  it('says how a filter is needed, and from which source', () => {
    const filter = (id: string) =>
      equipmentFor(defaultFormulary(), [id]).requirements.find(({ code }) => code.startsWith('filter'))
    expect(filter('pentamidine')?.need).toBe('required')
    expect(filter('tobramycin')?.need).toBe('by policy')
    expect(filter('colistimethate')).toMatchObject({
      need: 'advised',
      sources: ['Known to the authors and not looked up (from memory)'],
    })
    expect(filter('albuterol')).toBeUndefined()
  })
})
