import type { Formulary } from '../formulary/formulary.ts'
import type { Medicine } from '../formulary/medicine-schema.ts'
import type { Rule } from '../formulary/rule-schema.ts'
import { type Draft, draft } from './finding.ts'
import { kindsOf, partsOf, type Taken, takenMedicine } from './patient.ts'

type DuplicateRule = Extract<Rule, { kind: 'duplicate' }>

/** Two drugs of one kind: within the order, and between the order and what is taken besides. */
export function duplicateDrafts(
  formulary: Formulary,
  medicines: readonly Medicine[],
  order: { readonly asNeeded: boolean },
  taking: readonly Taken[],
): Draft[] {
  const rules = formulary.document.rules.filter((rule): rule is DuplicateRule => rule.kind === 'duplicate')
  return rules.flatMap((rule) =>
    medicines.flatMap((medicine, at) => [
      ...medicines
        .slice(at + 1)
        .flatMap((other) => sharedSet(rule, medicine.classes, other.classes, [medicine.name, other.name])),
      ...taking.flatMap((other) => besides(rule, medicine, other)),
    ]),
  )

  function besides(rule: DuplicateRule, medicine: Medicine, other: Taken): Draft[] {
    if (isSame(medicine, takenMedicine(formulary, other))) return [sameMedicine(rule, medicine, other)]
    return sharedSet(rule, medicine.classes, kindsOf(formulary, other), [medicine.name, other.name])
  }

  function isSame(medicine: Medicine, other: Medicine | null): boolean {
    if (other === null) return false
    const ids = partsOf(formulary, other).map(({ id }) => id)
    return partsOf(formulary, medicine).some(({ id }) => ids.includes(id))
  }

  /** One regular and one as needed is a common pair of orders: shown. Twice the same way is asked. */
  function sameMedicine(rule: DuplicateRule, medicine: Medicine, other: Taken): Draft {
    const relief = (other.asNeeded ?? false) !== order.asNeeded
    return draft(
      formulary,
      {
        code: `same-medicine:${medicine.id}:${other.name}`,
        severity: relief ? 'caution' : rule.severity,
        what: relief
          ? `${medicine.name} runs as needed and regularly: both count toward the gap and the total`
          : `${medicine.name} is ordered already (${other.name}): ${rule.what}`,
        why: rule.why,
        whoMustAnswer: rule.whoMustAnswer,
      },
      rule,
    )
  }

  function sharedSet(
    rule: DuplicateRule,
    first: readonly string[],
    second: readonly string[],
    names: readonly [string, string],
  ): Draft[] {
    return rule.sets
      .filter(({ classes }) => overlaps(classes, first) && overlaps(classes, second))
      .map((set) =>
        draft(
          formulary,
          {
            code: `${rule.code}:${names.join(':')}`,
            severity: rule.severity,
            what: `${names[0]} and ${names[1]} are both ${set.name}: ${rule.what}`,
            why: rule.why,
            whoMustAnswer: rule.whoMustAnswer,
          },
          rule,
        ),
      )
  }
}

function overlaps(a: readonly string[], b: readonly string[]): boolean {
  return a.some((each) => b.includes(each))
}
