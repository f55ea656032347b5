import { documentsInForce } from '../chart/documents/documents-in-force.ts'
import type { Chart } from '../chart/folds/chart.ts'
import { uuidv7 } from '../chart/ids.ts'
import { type AnyFact, writeFact } from '../chart/registry.ts'
import { betterOffer } from '../rounds/index.ts'
import { planFact, planNow, problemOf } from '../shift/index.ts'
import { STAFF } from './hospital/staff.ts'

const SEED = 1
/** Enough that nothing much better is found while the demo is looked at. */
const SEARCH_ROUNDS = 6000

/** The plan that the lead of the demo has just given out for the rest of the present shift; none when nobody is on. */
export function planInForce(
  chart: Chart,
  facility: string,
  nowMs: number,
  randomBytes: (length: number) => Uint8Array,
): AnyFact[] {
  const lead = STAFF.find(({ role }) => role === 'lead')
  const now = new Date(nowMs).toISOString()
  const { documents } = documentsInForce(chart.facts(), now)
  const problem = problemOf({ chart, documents, now })
  if (!lead || problem.crew.length === 0) return []
  const first = planNow(problem, SEED)
  const better = betterOffer(first, {
    seed: SEED,
    effort: { iterations: SEARCH_ROUNDS },
    leastGainPerChange: 0,
  })
  const body = planFact(problem, (better ?? first).priced, chart, {
    because: { kind: 'start', factIds: [], words: 'the plan for the rest of the shift' },
    seed: SEED,
    bound: null,
    proved: false,
    policyFact: documents['planning-policy'].adopted?.factId ?? null,
  })
  const writer = {
    facility,
    by: { personId: lead.personId, role: lead.role },
    device: 'server',
    newId: () => uuidv7({ nowMs: () => nowMs, randomBytes }),
    nowMs: () => nowMs,
  }
  return [writeFact(writer, 'plan-issued', { shiftId: problem.span.shiftId }, body)]
}
