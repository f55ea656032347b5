import { sha256 } from '@noble/hashes/sha2.js'
import { bytesToHex, utf8ToBytes } from '@noble/hashes/utils.js'
import { canonicalJson } from './canonical.ts'
import { LUNG_ZONES } from './facts/measurements.ts'
import { runElapsedMs } from './folds/run.ts'
import type { VisitState } from './folds/visit.ts'
import type { BodyOf } from './registry.ts'
import { spoken } from './stages/door.ts'
import { lastMeasured, measuredLine, oxygenText } from './stages/measure.ts'
import { setUp } from './stages/set-up.ts'
import type { StageContext } from './stages/stage.ts'

/**
 * The note of a visit, composed from what was recorded and nothing else: one paragraph a subject, in the order of
 * the visit. What was not recorded is not mentioned as if it had been. `clock` shows an instant as local time.
 */
export function composeNote(context: StageContext, clock: (instant: string) => string): string {
  const { visit } = context
  const paragraphs = visit.notGiven
    ? [notGivenText(visit.notGiven.body)]
    : [
        ordered(context, clock),
        identity(visit),
        before(visit),
        given(context, clock),
        watched(visit, clock),
        afterwards(visit),
        putBack(visit),
      ]
  return paragraphs.filter((paragraph) => paragraph !== '').join('\n\n')
}

function ordered({ visit, order }: StageContext, clock: (instant: string) => string): string {
  const title = order.terms.at(-1)?.order.title ?? ''
  const due = visit.doseAt === null ? 'as needed' : `due ${clock(visit.doseAt)}`
  const findings = visit.door?.body.findings ?? []
  const answered = findings.map(({ what, answer }) => `${what.replace(/\.$/, '')}: ${answer}`).join('; ')
  const since = visit.door?.body.minutesSinceLastDose
  const gap = since === null || since === undefined ? '' : ` ${spoken(since)} since the last dose.`
  return `${title}, ${due}.${gap}${answered ? ` Cautions: ${answered}.` : ''}`
}

function identity(visit: VisitState): string {
  if (!visit.identified) return ''
  const two = visit.identified.body.identifiers.map(({ what, how }) => `${what} ${how}`).join(', ')
  const medicines = visit.medicines.map(({ body }) => {
    const lot = body.lot === null ? '' : `, lot ${body.lot}`
    return `${body.text} ${body.how}${lot}, expires ${body.expiry}`
  })
  const label = visit.labelChecked ? [`label of the cup ${visit.labelChecked.body.how}`] : []
  const refused = visit.refusals.map(
    ({ body }) =>
      `${body.of} did not agree at first (${body.differences.map(({ what }) => what).join(', ')})`,
  )
  return [
    `Identified by ${two}.`,
    ...[...medicines, ...label, ...refused].map((text) => `${capital(text)}.`),
  ].join(' ')
}

function before(visit: VisitState): string {
  const body = lastMeasured(visit, 'before')
  return body ? `Before: ${measuredLine(body)}${examined(body)}.` : ''
}

function given(context: StageContext, clock: (instant: string) => string): string {
  const { visit } = context
  if (!visit.run.startedAt) return ''
  const cup = visit.prepared?.body.portions
    .map(
      ({ text, amount, unit, volumeMl }) =>
        `${text}${amount === null ? '' : ` ${amount} ${unit ?? ''}`} ${volumeMl} mL`,
    )
    .join(', ')
  const how = visit.setUp ? setUp.line(context) : ''
  const minutes = Math.round(runElapsedMs(visit.run, context.now) / 60_000)
  const ended = visit.ended
    ? `; ${visit.ended.body.how} at ${clock(visit.ended.at)} after ${minutes} min${outOfCup(visit.ended.body)}`
    : ''
  return `Given: ${cup ?? ''}; ${how}. Started ${clock(visit.run.startedAt)}${ended}.`
}

function outOfCup(body: BodyOf<'treatment-ended'>): string {
  if (body.how === 'finished') return ''
  const left = body.leftMl === null ? ', amount left not known' : `, ${body.leftMl} mL left`
  const out = body.given
    .filter(({ outOfCup: amount }) => amount !== null)
    .map(({ text, outOfCup: amount, unit }) => `about ${amount} ${unit} of ${text}`)
  return `${left}${out.length > 0 ? `, so ${out.join(' and ')} at most left the cup` : ''}`
}

function watched(visit: VisitState, clock: (instant: string) => string): string {
  const checks = visit.measured
    .filter(({ body }) => body.when === 'part-way' || body.when === 'at stop')
    .map(({ at, body }) => `${clock(at)} ${body.when}: ${measuredLine(body)}`)
  const stops = visit.stops.map(({ at, body }) => {
    const rules = body.rules.map(({ what }) => what).join('; ') || body.seen
    const told = body.told ? `, told ${body.told}` : ''
    return `${clock(at)} ${rules}: ${body.decision}${body.reason ? ` (${body.reason})` : ''}${told}`
  })
  const pauses = visit.run.pauses.map(
    ({ from, reason }) => `${clock(from)} paused${reason ? `: ${reason}` : ''}`,
  )
  return [...checks, ...stops, ...pauses].map((line) => `${capital(line)}.`).join(' ')
}

function afterwards(visit: VisitState): string {
  const body = lastMeasured(visit, 'after')
  if (!body) return ''
  const changes = changeText(lastMeasured(visit, 'before'), body)
  const sputum = visit.after?.body.sputum
  const cough = visit.after
    ? ` Cough ${visit.after.body.cough}${sputum ? `: ${sputum.amount}, ${sputum.color}, ${sputum.thickness}` : ''}.`
    : ''
  return `After: ${measuredLine(body)}${examined(body)}.${changes}${cough}`
}

/** Plain differences of what was measured twice; what they mean is said beside them on the screen, with the rule. */
function changeText(first: BodyOf<'measured'> | null, second: BodyOf<'measured'>): string {
  if (!first) return ''
  const pairs: [string, number | undefined, number | undefined, string][] = [
    ['heart rate', first.values.heartRatePerMin, second.values.heartRatePerMin, '/min'],
    ['respiratory rate', first.values.respiratoryRatePerMin, second.values.respiratoryRatePerMin, '/min'],
    ['SpO2', first.values.spo2Percent, second.values.spo2Percent, ' points'],
    ['PEF', best(first), best(second), ' L/min'],
  ]
  const said = pairs.flatMap(([name, from, to, unit]) =>
    from === undefined || to === undefined ? [] : `${name} ${signed(to - from)}${unit}`,
  )
  return said.length === 0 ? '' : ` Change: ${said.join(', ')}.`
}

function best(body: BodyOf<'measured'>): number | undefined {
  return body.values.peakFlowLPerMin === undefined ? undefined : Math.max(...body.values.peakFlowLPerMin)
}

function signed(change: number): string {
  return change > 0 ? `+${change}` : change < 0 ? `−${-change}` : '0'
}

function examined({ values }: BodyOf<'measured'>): string {
  const sounds = soundsText(values.breathSounds ?? {})
  const work = values.workOfBreathing ? `, work of breathing ${values.workOfBreathing}` : ''
  const dyspnea = values.dyspnea0To10 === undefined ? '' : `, dyspnea ${values.dyspnea0To10} of 10`
  return `${sounds ? `, breath sounds ${sounds}` : ''}${work}${dyspnea}`
}

/** Zones with the same sounds together: "clear all over", or "wheeze on breathing out right upper, left upper". */
function soundsText(heard: NonNullable<BodyOf<'measured'>['values']['breathSounds']>): string {
  const bySound = new Map<string, string[]>()
  for (const [zone, sounds] of Object.entries(heard)) {
    const said = sounds.join(' and ')
    bySound.set(said, [...(bySound.get(said) ?? []), zone])
  }
  const [only] = bySound
  if (only && bySound.size === 1 && only[1].length === LUNG_ZONES.length) return `${only[0]} all over`
  return [...bySound].map(([said, zones]) => `${said} ${zones.join(', ')}`).join('; ')
}

function putBack(visit: VisitState): string {
  if (!visit.after) return ''
  const { oxygenBack, oxygenChangedWhy, spo2OnItPercent, bedAndBell, cupCare } = visit.after.body
  const changed = oxygenChangedWhy ? ` (changed: ${oxygenChangedWhy})` : ''
  const bed = bedAndBell ? ' Bed safe, call bell in reach.' : ''
  return `Oxygen back: ${oxygenText(oxygenBack)}${changed}, SpO2 ${spo2OnItPercent} % on it.${bed} Nebulizer ${cupCare}.`
}

function notGivenText(body: BodyOf<'dose-not-given'>): string {
  const told = body.told ? ` Told: ${body.told}.` : ''
  return `Not given: ${body.reason}.${body.note ? ` ${body.note}` : ''} Next: ${body.next}.${told}`
}

function capital(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1)
}

/**
 * What a signature covers: SHA-256 over the text signed and the ids of the facts it speaks of, so that it cannot be
 * moved to another record (21 CFR 11.70).
 */
export function signatureHash(text: string, covers: readonly string[]): string {
  return bytesToHex(sha256(utf8ToBytes(canonicalJson({ text, covers: [...covers].sort() }))))
}
