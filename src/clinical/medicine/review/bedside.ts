import type { Formulary } from '../formulary/formulary.ts'
import type { Medicine, Statement, Statements } from '../formulary/medicine-schema.ts'
import type { Severity, Stage, StatementRule } from '../formulary/rule-schema.ts'
import type { When } from '../formulary/when.ts'
import { byRule, type Draft, draft, type Said } from './finding.ts'
import { holds, type Situation } from './situation.ts'

/**
 * What the formulary says against, or asks before, giving these medicines as things stand: contraindications,
 * cautions, interactions and the rules that speak at this stage. One engine for the order, the door and the cup.
 */
export function bedsideDrafts(
  formulary: Formulary,
  medicines: readonly Medicine[],
  situation: Situation,
  stage: Stage,
): Draft[] {
  const statements = stage === 'order' || stage === 'door' ? medicines.flatMap(statementDrafts) : []
  return [
    ...statements,
    ...medicines.flatMap(ruleDrafts),
    ...unknownDrafts(formulary, medicines, situation, stage),
  ]

  function statementDrafts(medicine: Medicine): Draft[] {
    return [
      ...spoken(medicine, medicine.contraindications, 'contraindication', 'stop'),
      ...spoken(medicine, medicine.cautions, 'caution', 'caution'),
      ...interactionDrafts(formulary, medicine, situation),
    ]
  }

  function spoken(medicine: Medicine, group: Statements, kind: string, severity: Severity): Draft[] {
    return group.items.flatMap((item, at) =>
      item.if && holds(item.if, situation) === 'yes'
        ? [
            draft(
              formulary,
              {
                code: `${kind}:${medicine.id}:${at + 1}`,
                severity: item.severity ?? severity,
                what: `${medicine.name}: ${item.what}`,
                why: `the chart says: ${reasons(formulary, item.if, situation)}`,
                whoMustAnswer: severity === 'stop' ? 'prescriber' : 'therapist',
              },
              statementBacking(item, group),
            ),
          ]
        : [],
    )
  }

  function ruleDrafts(medicine: Medicine): Draft[] {
    return rulesFor(formulary, medicine, stage)
      .filter((rule) => rule.if === undefined || holds(rule.if, situation) === 'yes')
      .map((rule) => draft(formulary, ruleSays(rule, medicine), rule))
  }
}

/** A statement with a status of its own stands on that; memory has no source behind it. */
function statementBacking(item: Statement, group: Statements) {
  if (item.status === undefined) return group
  return { status: item.status, sources: item.status === 'from memory' ? [] : group.sources }
}

/** Rules of one stage that are about a medicine; a rule about all medicines is one of them. */
function rulesFor(formulary: Formulary, medicine: Medicine, stage: Stage): readonly StatementRule[] {
  return formulary.document.rules
    .filter((rule): rule is StatementRule => rule.kind === 'statement')
    .filter((rule) => rule.at.includes(stage) && isFor(rule, medicine))
}

function isFor({ for: about }: StatementRule, medicine: Medicine): boolean {
  return (
    (about.medicines?.includes(medicine.id) ?? true) &&
    (about.classes?.some((each) => medicine.classes.includes(each)) ?? true) &&
    (about.forms?.includes(medicine.form) ?? true) &&
    (about.ownDevice === undefined || medicine.equipment.ownDevice !== undefined)
  )
}

/** A rule about every medicine is said once; a rule about some, once for each. */
function ruleSays(rule: StatementRule, medicine: Medicine): Said {
  const { code, severity, whoMustAnswer, what, why } = rule
  const general = Object.keys(rule.for).length === 0
  if (general) return { code, severity, whoMustAnswer, what, why }
  return { code: `${code}:${medicine.id}`, severity, whoMustAnswer, what: `${medicine.name}: ${what}`, why }
}

function interactionDrafts(formulary: Formulary, medicine: Medicine, situation: Situation): Draft[] {
  return formulary.document.interactions
    .filter(({ classes }) => classes.some((each) => medicine.classes.includes(each)))
    .filter((each) => holds({ taking: each.with }, situation) === 'yes')
    .map((each) =>
      draft(
        formulary,
        {
          code: `interaction:${each.id}`,
          severity: each.severity,
          what: `${medicine.name}: ${each.what}`,
          why: each.why,
          whoMustAnswer: each.whoMustAnswer,
        },
        each,
      ),
    )
}

/** What the chart would have to say before the conditions of these medicines can be checked at all. */
function unknownDrafts(
  formulary: Formulary,
  medicines: readonly Medicine[],
  situation: Situation,
  stage: Stage,
): Draft[] {
  if (situation.conditions !== undefined) return []
  const asked = medicines
    .flatMap((medicine) => whensOf(formulary, medicine, stage))
    .flatMap((when) => when.conditions ?? [])
  if (asked.length === 0) return []
  const words = [...new Set(asked)].map((code) => conditionText(formulary, code))
  return [
    draft(
      formulary,
      {
        code: 'conditions-unknown',
        severity: 'ask',
        what: `ask about: ${words.join('; ')}`,
        why: 'the chart does not say which conditions the patient has, so these could not be checked',
        whoMustAnswer: 'therapist',
      },
      byRule('order-rules'),
    ),
  ]
}

function whensOf(formulary: Formulary, medicine: Medicine, stage: Stage): When[] {
  const statements = [...medicine.contraindications.items, ...medicine.cautions.items]
  return [...statements, ...rulesFor(formulary, medicine, stage)].flatMap((each) => each.if ?? [])
}

function conditionText(formulary: Formulary, code: string): string {
  return formulary.document.conditions.find((entry) => entry.code === code)?.text ?? code
}

/** Which of the things that a statement asks for are there, in words. */
function reasons(formulary: Formulary, when: When, situation: Situation): string {
  const conditions = (when.conditions ?? []).filter((code) => situation.conditions?.has(code))
  const taken = (when.taking ?? []).filter((kind) => situation.taking?.has(kind))
  const without = (when.withoutConditions ?? []).map((code) => `no ${conditionText(formulary, code)}`)
  const indications = (when.indications ?? []).map((code) => `ordered for ${code.replaceAll('-', ' ')}`)
  const measured = Object.keys(when.measured ?? {}).map(
    (name) => `${name} ${situation.measured?.[name as 'systolicMmHg']}`,
  )
  return [
    ...conditions.map((code) => conditionText(formulary, code)),
    ...taken.map((kind) => `takes: ${kind}`),
    ...without,
    ...indications,
    ...measured,
  ].join(', ')
}
