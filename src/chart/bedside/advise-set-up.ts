import type { Formulary } from '../../clinical/medicine/index.ts'
import { adviseInterface } from '../../clinical/set-up/interface-advice.ts'
import type { Source } from '../../clinical/worked.ts'
import type { Cups } from '../documents/cups.ts'
import type { Measurements } from '../facts/measurements.ts'
import { ageAt, type PatientState } from '../folds/patient.ts'
import { oxygenText } from '../stages/measure.ts'
import type { SetUpChoice } from './forecast-visit.ts'

/** The set-up that suits, and why. */
export type SetUpAdvice = {
  readonly advised: SetUpChoice
  readonly because: readonly string[]
  readonly gasBecause: readonly string[]
  readonly cautions: readonly string[]
  readonly sources: readonly Source[]
  readonly cups: readonly {
    readonly id: string
    readonly name: string
    readonly maxFillMl: number
    readonly flow: { readonly low: number; readonly high: number }
  }[]
}

const BTS: Source = {
  key: 'BTS_2017',
  cite: 'O’Driscoll BR et al. BTS guideline for oxygen use in adults in healthcare and emergency settings. Thorax 2017;72(Suppl 1)',
  place: 'nebulizers driven by air where carbon dioxide may rise; saturation target 88 to 92 %',
  standing: 'from memory',
}
const BARDSLEY: Source = {
  key: 'BARDSLEY_2018',
  cite: 'Bardsley G et al. Oxygen- or air-driven bronchodilator nebulization in exacerbated COPD, 2018: oxygen-driven runs raised carbon dioxide by 3.3 mm Hg more than air',
  standing: 'verified',
}
const HABIT: Source = {
  key: 'FLOW',
  cite: 'Flow of 6 L/min on a jet cup rated for 6 to 8',
  standing: 'common practice, no source',
}

/** Volume of the usual reservoir tube on a T-piece [mL]. Common practice, no source. */
const TUBE_ML = 50
const USUAL_FLOW_L_PER_MIN = 6

/** Interface, gas, flow and position from what the patient can do and needs. */
export function adviseSetUp(
  formulary: Formulary,
  before: Measurements,
  patient: PatientState,
  medicineIds: readonly string[],
  cups: Cups,
  at: string,
): SetUpAdvice {
  const advice = adviseInterface({
    ageYears: ageAt(patient.dob, at)?.years ?? 40,
    airway: patient.airway ?? 'natural',
    ability: before.ability ?? 'cannot follow',
    consciousness: before.consciousness ?? 'alert',
    workOfBreathing: before.workOfBreathing ?? 'easy',
    narrowAngleGlaucoma: patient.conditions.some(({ code }) => code === 'narrow-angle glaucoma'),
    anticholinergic: medicineIds.some((id) =>
      formulary.medicine(id)?.classes.some((name) => /anticholinergic/.test(name)),
    ),
  })
  const gas = adviseGas(before, patient)
  const usable = usableCups(formulary, cups, medicineIds)
  const cup =
    usable.find(({ id }) => id === (advice.interface === 'mask' ? 'mask-jet' : 'tee-jet')) ?? usable[0]
  return {
    advised: {
      cupId: cup?.id ?? '',
      interface: advice.interface,
      gas: gas.gas,
      flowLPerMin: Math.max(
        cup?.flow.low ?? USUAL_FLOW_L_PER_MIN,
        Math.min(cup?.flow.high ?? 8, USUAL_FLOW_L_PER_MIN),
      ),
      reservoirMl: advice.reservoir ? TUBE_ML : 0,
      position: advice.position,
      cannulaStaysOn: before.spo2On?.device === 'nasal cannula' && gas.gas === 'air',
    },
    because: advice.because,
    gasBecause: gas.because,
    cautions: [...advice.cautions, ...gas.cautions],
    sources: [...advice.sources, ...gas.sources, HABIT],
    cups: usable,
  }
}

function adviseGas(
  before: Measurements,
  patient: PatientState,
): { gas: 'air' | 'oxygen'; because: string[]; cautions: string[]; sources: Source[] } {
  const risk =
    patient.conditions.some(({ code }) => code === 'hypercapnia-risk') || patient.target?.newsScale === 2
  const on = oxygenText(before.spo2On)
  const target = patient.target
  if (risk) {
    return {
      gas: 'air',
      because: [`Carbon dioxide may rise with oxygen: compressed air, and ${on} goes on meanwhile.`],
      cautions: [
        `Watch SpO2 against its target of ${target?.lowPercent ?? 88} to ${target?.highPercent ?? 92} %; an air-driven cup with a cannula still gives extra oxygen.`,
      ],
      sources: [BTS, BARDSLEY],
    }
  }
  const low = before.spo2Percent !== undefined && before.spo2Percent < (target?.lowPercent ?? 92)
  const masked = before.spo2On !== undefined && !['room air', 'nasal cannula'].includes(before.spo2On.device)
  if (low || masked) {
    return {
      gas: 'oxygen',
      because: [
        low
          ? `SpO2 ${before.spo2Percent} % is low: oxygen as driving gas.`
          : `On ${on}, which comes off for the treatment: oxygen as driving gas.`,
      ],
      cautions: [],
      sources: [BTS],
    }
  }
  return {
    gas: 'air',
    because: [`No need of extra oxygen from the cup (${on}): compressed air.`],
    cautions: [],
    sources: [BTS],
  }
}

/** Cups that suit every medicine in them and run on gas or by themselves. */
function usableCups(formulary: Formulary, cups: Cups, medicineIds: readonly string[]): SetUpAdvice['cups'] {
  const fits = (kind: string) =>
    medicineIds.every((id) => {
      const equipment = formulary.medicine(id)?.equipment
      if (!equipment) return true
      const refused: readonly string[] = equipment.notNebulizers ?? []
      return !refused.includes(kind)
    })
  return cups.cups
    .filter(({ kind }) => kind !== 'large-volume' && fits(kind))
    .map(({ id, name, maximumFillMl, ratedFlowLPerMin }) => ({
      id,
      name,
      maxFillMl: maximumFillMl,
      flow: ratedFlowLPerMin ?? { low: 4, high: 12 },
    }))
}
