import type { Formulary } from '../formulary/formulary.ts'
import type { Severity } from '../formulary/rule-schema.ts'
import { byRule, type Draft, draft } from './finding.ts'
import type { OrderToReview } from './order.ts'

/** Words for the inhaled route, as feeds and people write it; common practice, no source. */
const INHALED = /inhal|nebul|aerosol|respirat|trach|^(inh|neb|ih)$/i

/** What an order does not say and must say before it can be given. */
export function completenessDrafts(formulary: Formulary, order: OrderToReview): Draft[] {
  const lines = order.medicines.filter(({ part }) => part === 'medicine')
  return [
    ...(lines.length === 0 ? [missing('medicine', 'a medicine', 'stop')] : []),
    ...lines.flatMap((line, at) => lineDrafts(line, at + 1)),
    ...(order.frequency === null ? [missing('frequency', 'how often it is given', 'stop')] : []),
    ...(order.prescriber === null ? [missing('prescriber', 'who prescribed it', 'stop')] : []),
    ...(blank(order.route) ? [missing('route', 'the route', 'ask')] : []),
    ...(blank(order.indication) ? [missing('indication', 'what it is for', 'ask')] : []),
    ...prnDrafts(),
    ...routeDrafts(),
  ]

  function lineDrafts(line: OrderToReview['medicines'][number], at: number): Draft[] {
    const which = `medicine-${at}`
    const unknown = line.medicineId === null || formulary.medicine(line.medicineId) === null
    return [
      ...(unknown ? [unknownMedicine(which, line.text)] : []),
      ...(line.amountMin === null && line.amountMax === null
        ? [missing(`${which}-dose`, `the dose of ${line.text}`, 'stop')]
        : []),
      ...(blank(line.unit) ? [missing(`${which}-unit`, `the unit of the dose of ${line.text}`, 'stop')] : []),
    ]
  }

  function prnDrafts(): Draft[] {
    if (order.prn === null) return []
    return [
      ...(blank(order.prn.reason) ? [missing('prn-reason', 'when it is needed', 'ask')] : []),
      ...(order.prn.minimumGapMinutes === null
        ? [missing('prn-gap', 'the shortest time between two doses as needed', 'ask')]
        : []),
    ]
  }

  function routeDrafts(): Draft[] {
    if (order.route === null || blank(order.route) || INHALED.test(order.route.trim())) return []
    return [
      said(
        'route-not-inhaled',
        'ask',
        `confirm the route: the order says ${order.route}`,
        'it is not a word for inhaling',
      ),
    ]
  }

  function missing(code: string, what: string, severity: Severity): Draft {
    return said(
      `missing-${code}`,
      severity,
      `ask for ${what}`,
      'the order does not say it, and nothing is assumed',
    )
  }

  function unknownMedicine(which: string, text: string): Draft {
    const rule = byRule('order-rules')
    return draft(
      formulary,
      {
        code: `unknown-${which}`,
        severity: 'stop',
        what: `find out what is meant by ${text}`,
        why: 'the formulary does not hold it, so neither dose nor cautions could be checked',
        whoMustAnswer: 'pharmacist',
      },
      rule,
    )
  }

  function said(code: string, severity: Severity, what: string, why: string): Draft {
    return draft(formulary, { code, severity, what, why, whoMustAnswer: 'prescriber' }, byRule('order-rules'))
  }
}

function blank(text: string | null): boolean {
  return text === null || text.trim() === ''
}
