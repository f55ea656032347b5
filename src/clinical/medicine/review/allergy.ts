import type { Formulary } from '../formulary/formulary.ts'
import type { Medicine } from '../formulary/medicine-schema.ts'
import { byRule, type Draft, draft, drafted } from './finding.ts'
import type { Coded, PatientFacts } from './patient.ts'

const NONE_KNOWN = /\bno known\b|\bNKD?A\b|\bnone\b/i

/** Allergies against the medicines of an order, by the names written in them. What matches nothing is shown. */
export function allergyDrafts(
  formulary: Formulary,
  medicines: readonly Medicine[],
  allergies: PatientFacts['allergies'],
): Draft[] {
  if (allergies === null) return [unknown(formulary)]
  const real = allergies.filter(({ text }) => !NONE_KNOWN.test(text))
  const hits = medicines.flatMap((medicine) =>
    real
      .filter((allergy) => speaksAgainst(allergy, medicine))
      .map((allergy) => hit(formulary, medicine, allergy)),
  )
  const unmatched = real.filter((allergy) => !medicines.some((medicine) => speaksAgainst(allergy, medicine)))
  return [...hits, ...(unmatched.length > 0 ? [shown(formulary, unmatched)] : [])]
}

function speaksAgainst({ code, text }: Coded, medicine: Medicine): boolean {
  const plain = `${code} ${text}`.toLowerCase()
  return [...medicine.allergens, medicine.name, ...medicine.otherNames].some((word) =>
    plain.includes(word.toLowerCase()),
  )
}

function hit(formulary: Formulary, medicine: Medicine, allergy: Coded): Draft {
  const sources = [
    ...formulary.sources(medicine.contraindications),
    ...formulary.sources(byRule('allergy-rule')),
  ]
  return drafted(
    {
      code: `allergy:${medicine.id}`,
      severity: 'stop',
      what: `do not give ${medicine.name}: call the prescriber`,
      why: `the chart has an allergy: ${allergy.text}`,
      whoMustAnswer: 'prescriber',
    },
    sources,
  )
}

function shown(formulary: Formulary, unmatched: readonly Coded[]): Draft {
  return draft(
    formulary,
    {
      code: 'allergies-shown',
      severity: 'note',
      what: `other allergies on the chart: ${unmatched.map(({ text }) => text).join('; ')}`,
      why: 'no name in them matches a medicine of this order; look whether one of its ingredients is meant',
      whoMustAnswer: 'therapist',
    },
    byRule('allergy-rule'),
  )
}

function unknown(formulary: Formulary): Draft {
  return draft(
    formulary,
    {
      code: 'allergies-unknown',
      severity: 'ask',
      what: 'ask about allergies before the first dose',
      why: 'the chart does not say whether there are any',
      whoMustAnswer: 'therapist',
    },
    byRule('allergy-rule'),
  )
}
