import type { Formulary } from '../../clinical/medicine/index.ts'
import { adviseGas, OTHER_TARGET_PERCENT, RISK_TARGET_PERCENT } from '../../clinical/oxygen/index.ts'
import { adviseInterface } from '../../clinical/set-up/interface-advice.ts'
import type { Source } from '../../clinical/worked.ts'
import type { Cups } from '../documents/cups.ts'
import type { Measurements } from '../facts/measurements.ts'
import { ageAt, type PatientState } from '../folds/patient.ts'
import { oxygenText } from '../stages/measure.ts'
import type { SetUpChoice } from './set-up-choice.ts'

/** The set-up that suits, and why. */
export type SetUpAdvice = {
  readonly advised: SetUpChoice
  readonly because: readonly string[]
  readonly gasBecause: readonly string[]
  readonly cautions: readonly string[]
  /** What holds if oxygen drives the cup all the same, where carbon dioxide may rise; null elsewhere. */
  readonly ifOxygen: string | null
  readonly sources: readonly Source[]
  readonly cups: readonly {
    readonly id: string
    readonly name: string
    readonly maxFillMl: number
    readonly flow: { readonly low: number; readonly high: number }
  }[]
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
  const gas = adviseTheGas(before, patient)
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
      supply: { from: 'wall' },
    },
    because: advice.because,
    gasBecause: gas.because,
    cautions: [...advice.cautions, ...gas.cautions],
    ifOxygen: gas.ifOxygen,
    sources: [...advice.sources, ...gas.sources, HABIT],
    cups: usable,
  }
}

type GasView = {
  readonly gas: 'air' | 'oxygen'
  readonly because: readonly string[]
  readonly cautions: readonly string[]
  readonly ifOxygen: string | null
  readonly sources: readonly Source[]
}

/** The driving gas: by the guideline where carbon dioxide may rise, else by the saturation and what is on already. */
function adviseTheGas(before: Measurements, patient: PatientState): GasView {
  return retainsCarbonDioxide(patient) ? gasAtRisk(before, patient) : gasWithoutRisk(before, patient)
}

function retainsCarbonDioxide({ conditions, target }: PatientState): boolean {
  return conditions.some(({ code }) => code === 'hypercapnia-risk') || target?.newsScale === 2
}

function gasAtRisk(before: Measurements, { target }: PatientState): GasView {
  const question = {
    atRisk: true,
    // Far below the target or far above a usual cannula the question is the same; the advice covers so much.
    saturationPercent: Math.max(before.spo2Percent ?? RISK_TARGET_PERCENT[0], 50),
    cannulaLPerMin:
      before.spo2On?.device === 'nasal cannula' ? Math.min(before.spo2On.flowLPerMin ?? 0, 15) : 0,
  }
  const advice = adviseGas({ ...question, airSource: true })
  const without = adviseGas({ ...question, airSource: false })
  const [low, high] = target ? [target.lowPercent, target.highPercent] : advice.targetSaturationPercent
  const [from, to] = advice.recheckGasesMin ?? [30, 60]
  return {
    gas: advice.gas,
    because: advice.because,
    cautions: [
      `Watch SpO2 against ${low} to ${high} %; an air-driven cup with a cannula still gives extra oxygen.`,
      `If its oxygen is changed, blood gases again after ${from} to ${to} minutes.`,
    ],
    ifOxygen: without.because.join(' '),
    sources: [...new Set([...advice.sources, ...without.sources])],
  }
}

function gasWithoutRisk(before: Measurements, { target }: PatientState): GasView {
  const on = oxygenText(before.spo2On)
  const low = before.spo2Percent !== undefined && before.spo2Percent < (target?.lowPercent ?? 92)
  const masked = before.spo2On !== undefined && !['room air', 'nasal cannula'].includes(before.spo2On.device)
  const { sources } = adviseGas({
    atRisk: false,
    airSource: true,
    saturationPercent: OTHER_TARGET_PERCENT[0],
    cannulaLPerMin: 0,
  })
  const why = low
    ? `SpO2 ${before.spo2Percent} % is low: oxygen as driving gas.`
    : masked
      ? `On ${on}, which comes off for the treatment: oxygen as driving gas.`
      : `No need of extra oxygen from the cup (${on}): compressed air.`
  return { gas: low || masked ? 'oxygen' : 'air', because: [why], cautions: [], ifOxygen: null, sources }
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
