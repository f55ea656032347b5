import { sourceLine } from '../formulary/backing.ts'
import type { Formulary } from '../formulary/formulary.ts'
import type { Medicine } from '../formulary/medicine-schema.ts'
import { INTERFACES, type InterfaceKind, NEBULIZERS, type NebulizerKind } from '../formulary/when.ts'

/** One thing that a medicine calls for. */
export type Requirement = {
  readonly code: string
  readonly what: string
  readonly need: 'required' | 'advised' | 'by policy'
  readonly sources: readonly string[]
}

/** What the medicines of one cup call for together. */
export type EquipmentNeeded = {
  /** Kinds that suit all of them; empty when none does, and then they cannot share a cup. */
  readonly nebulizers: readonly NebulizerKind[]
  readonly unsuitable: readonly {
    readonly kind: NebulizerKind
    readonly why: string
    readonly sources: readonly string[]
  }[]
  readonly interfaces: readonly InterfaceKind[]
  readonly preferred: InterfaceKind | null
  readonly requirements: readonly Requirement[]
}

/**
 * Nebulizer, interface, filter, room and what else the medicines call for. Ids that the formulary does not know
 * add nothing.
 */
export function equipmentFor(formulary: Formulary, medicineIds: readonly string[]): EquipmentNeeded {
  const medicines = medicineIds.flatMap((id) => formulary.medicine(id) ?? [])
  const suits = (kind: NebulizerKind) => medicines.every((medicine) => fits(medicine, kind))
  return {
    nebulizers: NEBULIZERS.filter(suits),
    unsuitable: NEBULIZERS.flatMap((kind) => whyNot(kind)),
    interfaces: INTERFACES.filter((each) =>
      medicines.every((medicine) => medicine.equipment.interfaces.includes(each)),
    ),
    preferred:
      medicines.map(({ equipment }) => equipment.preferred).find((each) => each !== undefined) ?? null,
    requirements: medicines.flatMap((medicine) => requirements(formulary, medicine)),
  }

  function whyNot(kind: NebulizerKind) {
    return medicines
      .filter((medicine) => !fits(medicine, kind))
      .map((medicine) => ({ kind, why: reason(medicine, kind), sources: lines(formulary, medicine) }))
  }
}

function fits({ equipment }: Medicine, kind: NebulizerKind): boolean {
  return equipment.nebulizers.includes(kind) && !(equipment.notNebulizers ?? []).includes(kind)
}

function reason({ name, form, equipment }: Medicine, kind: NebulizerKind): string {
  if (equipment.notNebulizers?.includes(kind)) return `${name} is a ${form}: its label rules out this kind`
  if (equipment.ownDevice !== undefined) return `${name}: ${equipment.ownDevice}`
  if (equipment.listed !== undefined) return `${name}: ${equipment.listed}`
  return `${name}: no source names this kind`
}

const lines = (formulary: Formulary, { equipment }: Medicine) => formulary.sources(equipment).map(sourceLine)

function requirements(formulary: Formulary, medicine: Medicine): Requirement[] {
  const { equipment, id, name, supply, bronchodilatorFirst } = medicine
  const sources = lines(formulary, medicine)
  const need = (
    code: string,
    what: string | undefined,
    how: Requirement['need'] = 'required',
  ): Requirement[] =>
    what === undefined ? [] : [{ code: `${code}:${id}`, what: `${name}: ${what}`, need: how, sources }]
  const first = bronchodilatorFirst && `a bronchodilator first: ${bronchodilatorFirst.text}`
  const concentrate = supply.filter(({ mustBeDiluted }) => mustBeDiluted).map(({ label }) => label)
  return [
    ...need('own-device', equipment.ownDevice),
    ...need('listed-device', equipment.listed),
    ...need('not-this-kind', equipment.notNebulizers && `not ${equipment.notNebulizers.join(', ')}`),
    ...(equipment.filter ? need('filter', 'a filter on the exhaled side', equipment.filter.need) : []),
    ...need('own-room', equipment.ownRoom),
    ...need('bystanders', equipment.bystanders, 'advised'),
    ...need(
      'mouthpiece',
      equipment.preferred === 'mouthpiece' ? 'a mouthpiece if the patient can' : undefined,
      'advised',
    ),
    ...need('diluent', concentrate.length > 0 ? `diluent for ${concentrate.join(', ')}` : undefined),
    ...(bronchodilatorFirst
      ? [
          {
            code: `bronchodilator-first:${id}`,
            what: `${name}: ${first}`,
            need: 'required' as const,
            sources: formulary.sources(bronchodilatorFirst).map(sourceLine),
          },
        ]
      : []),
  ]
}
