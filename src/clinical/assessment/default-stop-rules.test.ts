import { describe, expect, it } from 'vitest'
import { defaultStopRules } from './stop-rule-document.ts'
import { ids, seen, snapshot } from './test-data/asked-of-rules.ts'

describe('each of the 26 rules speaks for what it is about, and at its very limit', () => {
  it.each([
    ['S01', {}, { heartRatePerMin: 121 }, { heartRatePerMin: 100 }],
    ['S05', {}, { spo2Percent: 93 }, { spo2Percent: 97 }],
    ['S05', {}, { spo2Percent: 91 }, { spo2Percent: 92 }],
    ['S07', {}, { systolicMmHg: 110 }, { systolicMmHg: 130 }],
    ['S07', {}, { systolicMmHg: 89 }, { systolicMmHg: 95 }],
    ['S09', { phase: 'before' }, { heartRatePerMin: 131 }, {}],
    ['S10', { phase: 'before', conditions: ['asthma'] }, { peakFlowPercent: 32.9 }, {}],
    ['S10', { phase: 'after', conditions: ['asthma'] }, { spo2Percent: 91 }, {}],
    ['S12', { phase: 'before' }, { minutesUntilDoseAllowed: 1 }, {}],
    ['S12', { phase: 'before' }, { dayTotalWithThisDosePercent: 101 }, {}],
    ['S17', { medicines: ['hypertonic saline'] }, { fev1Ml: 1800 }, { fev1Ml: 2000 }],
    ['S18', { phase: 'before', medicines: ['iloprost'] }, { systolicMmHg: 84 }, {}],
    ['S19', { conditions: ['hypercapnic risk'], drivingGas: 'oxygen' }, { paCO2MmHg: 61 }, { paCO2MmHg: 50 }],
    ['S26', { phase: 'after' }, { news2AtLeast: 5 }, {}],
    ['S26', { phase: 'after' }, { news2Total: 5 }, {}],
  ] as const)('%s by number', (id, context, now, before) => {
    expect(ids(context, snapshot(now), snapshot(before))).toEqual([id])
  })
  it.each([
    ['S01', {}, { heartRatePerMin: 120 }, { heartRatePerMin: 100 }],
    ['S05', {}, { spo2Percent: 93 }, { spo2Percent: 96 }],
    ['S05', {}, { spo2Percent: 92 }, { spo2Percent: 95 }],
    ['S07', {}, { systolicMmHg: 111 }, { systolicMmHg: 130 }],
    ['S07', {}, { systolicMmHg: 90 }, { systolicMmHg: 109 }],
    ['S09', { phase: 'before' }, { heartRatePerMin: 130 }, {}],
    ['S10', { phase: 'before', conditions: ['asthma'] }, { peakFlowPercent: 33, spo2Percent: 92 }, {}],
    ['S12', { phase: 'before' }, { minutesUntilDoseAllowed: 0, dayTotalWithThisDosePercent: 100 }, {}],
    ['S17', { medicines: ['hypertonic saline'] }, { fev1Ml: 1801 }, { fev1Ml: 2000 }],
    ['S18', { phase: 'before', medicines: ['iloprost'] }, { systolicMmHg: 85 }, {}],
    ['S19', { conditions: ['hypercapnic risk'], drivingGas: 'oxygen' }, { paCO2MmHg: 60 }, { paCO2MmHg: 50 }],
    ['S26', { phase: 'after' }, { news2AtLeast: 4, news2Total: 4 }, {}],
  ] as const)('%s not a hair before', (_id, context, now, before) => {
    expect(ids(context, snapshot(now), snapshot(before))).toEqual([])
  })
  it.each([
    ['S02', {}, ['new arrhythmia']],
    ['S03', {}, ['chest pain', 'palpitations']],
    ['S04', { medicines: [] }, ['paradoxical bronchospasm']],
    ['S06', {}, ['marked tremor', 'agitation or distress', 'severe headache', 'vomiting']],
    ['S07', {}, ['dizzy or near fainting']],
    ['S08', { medicines: [] }, ['rash', 'swelling of face or throat', 'new stridor', 'hypersensitivity']],
    ['S10', { conditions: ['asthma'] }, ['silent chest', 'cyanosis', 'exhaustion', 'altered consciousness']],
    ['S11', { phase: 'after' }, ['no better than before', 'worse than before']],
    ['S13', { phase: 'before', medicines: [] }, ['known hypersensitivity']],
    ['S14', { medicines: ['anticholinergic'] }, ['eye pain', 'blurred vision or halos', 'red eye']],
    ['S15', { medicines: ['anticholinergic'] }, ['new difficulty passing urine']],
    [
      'S16',
      { phase: 'before', medicines: ['bland aerosol'] },
      ['bronchoconstriction now', 'known airway hyper-responsiveness'],
    ],
    ['S17', { medicines: ['hypertonic saline'] }, ['chest tightness', 'new wheeze', 'difficulty breathing']],
    ['S19', { conditions: ['hypercapnic risk'], drivingGas: 'oxygen' }, ['drowsier']],
    ['S20', { phase: 'after', medicines: ['epinephrine'] }, ['epinephrine given for upper-airway swelling']],
    [
      'S21',
      { medicines: ['continuous beta agonist'] },
      ['heart rate climbing over hours', 'new arrhythmia', 'potassium check overdue'],
    ],
    [
      'S22',
      { medicines: ['liposomal amikacin'] },
      ['blood in sputum', 'loss of voice', 'new breathlessness', 'suspected pneumonitis'],
    ],
    ['S23', { medicines: ['inhaled antibacterial'] }, ['chest tightness']],
    ['S24', { phase: 'end', devices: ['jet nebulizer'] }, ['sputters steadily']],
    ['S25', { medicines: [] }, ['asks to stop or cannot bear it']],
    ['S26', { phase: 'after' }, ['NEWS2 3 in one part']],
  ] as const)('%s by sign', (id, context, signs) => {
    for (const sign of signs) expect(ids(context, seen(sign))).toEqual([id])
  })
  it('has all 26, each with what to do, whom to tell, and a standing', () => {
    expect(defaultStopRules().rules.map(({ id }) => id)).toEqual(
      Array.from({ length: 26 }, (_, at) => `S${String(at + 1).padStart(2, '0')}`),
    )
    const fixed = defaultStopRules().rules.filter(({ configurable }) => !configurable)
    expect(fixed.map(({ id }) => id)).toEqual(['S04', 'S08', 'S10', 'S13', 'S22', 'S25'])
  })
  it('stops, pauses, holds or tells as published', () => {
    const named = (wanted: string) =>
      defaultStopRules()
        .rules.filter(({ action }) => action === wanted)
        .map(({ id }) => id.slice(1))
        .join(' ')
    expect(named('stop')).toBe('01 02 03 04 07 08 14 17 19 22 23 24 25')
    expect(named('pause')).toBe('05 06')
    expect(named('hold')).toBe('09 12 13 15 16 18')
    expect(named('notify')).toBe('10 11 20 21 26')
  })
})
