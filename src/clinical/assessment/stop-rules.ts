import { BadInput, requireWithin, type Source } from '../worked.ts'
import { sourcesOf } from './document.ts'
import { type Findings, judge } from './judge-condition.ts'
import { MEASURE_NAMES, requirePossible, type Snapshot } from './measures.ts'
import {
  ACTIONS,
  type Action,
  defaultStopRules,
  PHASES,
  type Phase,
  type StopRule,
  type StopRuleDocument,
} from './stop-rule-document.ts'

/** Whom and what the rules are asked about. A list that is empty means: none; an age that is null: not known. */
export type StopContext = {
  readonly phase: Phase
  readonly ageYears: number | null
  /** Kinds of what is in the cup: bronchodilator, anticholinergic, hypertonic saline … */
  readonly medicines: readonly string[]
  /** asthma, hypercapnic risk … */
  readonly conditions: readonly string[]
  readonly devices: readonly string[]
  readonly drivingGas: string | null
  /** The patient's own limits by name, for example spo2TargetLow; they outrank those of the document. */
  readonly limits: Readonly<Record<string, number>>
}

export type FiredRule = {
  readonly id: string
  readonly what: string
  readonly action: Action
  /** What the rule says by itself, when another rule turned it into a question to a clinician. */
  readonly ownAction: Action
  readonly askedBy: string | null
  readonly todo: string
  readonly tell: string
  readonly urgency: StopRule['urgency']
  readonly priority: number
  readonly because: readonly string[]
  readonly confirmAfterMinutes: number | null
  readonly standing: StopRule['standing']
  readonly sources: readonly Source[]
  readonly note: string | null
}

/** A rule that applies and could not be judged, with what is missing. Not the same as a rule that is silent. */
export type RuleWithoutAnswer = {
  readonly id: string
  readonly what: string
  readonly missing: readonly string[]
}

export type StopJudgment = {
  readonly documentVersion: number
  /** How many rules there are for this phase. */
  readonly asked: number
  /** Most pressing first. */
  readonly fired: readonly FiredRule[]
  /** The strongest action asked for; null when no rule spoke. */
  readonly strongest: Action | null
  readonly cannotRun: readonly RuleWithoutAnswer[]
}

/**
 * Which stop rules speak for what was found now, against what was found before this treatment. Prompts for a
 * clinician: a life-threatening sign of asthma turns every stop, pause and hold, but for the few that it names, into a
 * question, so that rescue is never withheld by a rule.
 * @throws BadInput for a phase or a value that cannot be used; OutsideValidity for an age outside 0 to 120 years
 */
export function judgeStopRules(
  context: StopContext,
  now: Snapshot,
  baseline: Snapshot | null,
  document: StopRuleDocument = defaultStopRules(),
): StopJudgment {
  requireUsable(context, now, baseline)
  const findings: Findings = { now, baseline, limit: (name) => limitFor(document, context, name) }
  const asked = document.rules
    .filter(({ phases }) => phases.includes(context.phase))
    .map((rule) => ({ rule, judged: judgeRule(rule, context, findings) }))
  const speaking = asked.flatMap(({ rule, judged }) =>
    judged.holds === true ? [{ rule, because: judged.because }] : [],
  )
  const fired = speaking
    .map(({ rule, because }) => firedRule(rule, because, asker(rule, speaking), document))
    .sort((a, b) => a.priority - b.priority || ACTIONS.indexOf(a.action) - ACTIONS.indexOf(b.action))
  return {
    documentVersion: document.version,
    asked: asked.length,
    fired,
    strongest: ACTIONS.find((action) => fired.some((rule) => rule.action === action)) ?? null,
    cannotRun: asked.flatMap(({ rule: { id, what }, judged }) =>
      judged.holds === null ? [{ id, what, missing: [...new Set(judged.missing)] }] : [],
    ),
  }
}

function requireUsable(context: StopContext, now: Snapshot, baseline: Snapshot | null): void {
  if (!PHASES.includes(context.phase)) throw new BadInput('phase', context.phase, PHASES.join(', '))
  if (context.ageYears !== null) requireWithin('ageYears', context.ageYears, { low: 0, high: 120, unit: 'a' })
  for (const values of [now.values, baseline?.values ?? {}, context.limits]) {
    for (const [field, value] of Object.entries(values)) {
      if (!Number.isFinite(value)) throw new BadInput(field, value, 'a finite number, or nothing')
    }
  }
  for (const field of Object.keys({ ...now.values, ...baseline?.values })) {
    if (!MEASURE_NAMES.some((name) => name === field))
      throw new BadInput(field, 'given', MEASURE_NAMES.join(', '))
  }
  requirePossible(now)
  if (baseline) requirePossible(baseline)
}

function limitFor(document: StopRuleDocument, context: StopContext, name: string): number | undefined {
  const { ageYears } = context
  const own = context.limits[name]
  if (own !== undefined || ageYears === null) return own
  return document.limits[name]?.byAge.findLast(({ fromYears }) => fromYears <= ageYears)?.value
}

function judgeRule(rule: StopRule, context: StopContext, findings: Findings) {
  const { medicines, conditions, devices, drivingGases, fromYears } = rule.appliesTo
  const meets = (wanted: readonly string[] | undefined, has: readonly string[]) =>
    wanted === undefined || wanted.some((name) => has.includes(name))
  const applies =
    meets(medicines, context.medicines) &&
    meets(conditions, context.conditions) &&
    meets(devices, context.devices) &&
    meets(drivingGases, context.drivingGas === null ? [] : [context.drivingGas])
  if (!applies) return { holds: false } as const
  if (fromYears !== undefined) {
    if (context.ageYears === null) return { holds: null, missing: ['age'] } as const
    if (context.ageYears < fromYears) return { holds: false } as const
  }
  const silenced = rule.unless !== undefined && judge(rule.unless, findings).holds === true
  return silenced ? ({ holds: false } as const) : judge(rule.when, findings)
}

type Speaking = { readonly rule: StopRule }

/** The rule that turns this one into a question, if one speaks. */
function asker({ id, action }: StopRule, speaking: readonly Speaking[]): string | null {
  if (action === 'notify') return null
  const asks = speaking.find(
    ({ rule }) => rule.questionsAllBut !== undefined && !rule.questionsAllBut.includes(id),
  )
  return asks?.rule.id ?? null
}

function firedRule(
  rule: StopRule,
  because: readonly string[],
  askedBy: string | null,
  document: StopRuleDocument,
): FiredRule {
  const { id, what, action, tell, urgency, priority, standing, confirmAfterMinutes, note } = rule
  return {
    id,
    what,
    action: askedBy === null ? action : 'notify',
    ownAction: action,
    askedBy,
    todo:
      askedBy === null ? rule.todo : `${ASK_FIRST} (${askedBy}). By itself the rule would say: ${rule.todo}`,
    tell,
    urgency,
    priority,
    because,
    confirmAfterMinutes: confirmAfterMinutes ?? null,
    standing,
    sources: sourcesOf(document.sources, rule.sources),
    note: note ?? null,
  }
}

const ASK_FIRST = 'Do not stop rescue treatment by this rule alone: ask a clinician now'
