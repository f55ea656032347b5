import { uuidv7 } from '../../src/chart/ids.ts'
import { type AnyFact, type Writer, writeFact } from '../../src/chart/registry.ts'
import type { Dice } from './dice.ts'

export type BedsideVisit = Readonly<Record<'patientId' | 'orderId' | 'visitId', string>>

/** Who writes, on what, by which clock, and at which visits; a few invented ones when none are named. */
export type Hand = {
  readonly facility: string
  readonly personId: string
  readonly device: string
  readonly nowMs: () => number
  readonly dice: Dice
  readonly visits?: readonly BedsideVisit[]
}

const PATIENTS = 6
const VISITS: readonly BedsideVisit[] = Array.from({ length: 40 }, (_, at) => ({
  patientId: `patient-${at % PATIENTS}`,
  orderId: `order-${at % (2 * PATIENTS)}`,
  visitId: `visit-${at}`,
}))

/**
 * A few facts as a therapist writes them at the bedside, several hands at the same patients and visits at once, so
 * that what the folds make of them hangs on all of them.
 */
export function bedsideFacts(hand: Hand, count: number): AnyFact[] {
  return Array.from({ length: count }, () => oneFact(hand))
}

function oneFact({ facility, personId, device, nowMs, dice, visits = VISITS }: Hand): AnyFact {
  const randomBytes = (length: number) => Uint8Array.from({ length }, () => dice.whole(0, 255))
  const writer: Writer = {
    facility,
    by: { personId, role: 'therapist' },
    device,
    newId: () => uuidv7({ nowMs, randomBytes }),
    nowMs,
  }
  const about = dice.pick(visits)
  const { patientId } = about
  switch (dice.whole(0, 7)) {
    case 0:
      return writeFact(writer, 'patient-away', { patientId }, { reason: 'imaging' })
    case 1:
      return writeFact(writer, 'patient-back', { patientId }, {})
    case 2:
      return writeFact(writer, 'visit-opened', about, { doseAt: null })
    case 3:
      return writeFact(writer, 'treatment-started', about, { alongside: [] })
    case 4:
      return writeFact(writer, 'treatment-paused', about, { reason: 'cough' })
    case 5:
      return writeFact(writer, 'treatment-goes-on', about, {})
    default: {
      const values = { heartRatePerMin: dice.whole(60, 130), spo2Percent: dice.whole(85, 100) }
      const when = dice.pick(['before', 'part-way', 'after'] as const)
      return writeFact(writer, 'measured', about, { when, values, notMeasured: [], confirmedOdd: [] })
    }
  }
}

/** An admission as a census system sends it, under a control id of its own. */
export function admission(controlId: string, patient: number, at: Date): string {
  const time = `${at
    .toISOString()
    .replace(/[-:TZ]|\.\d+/g, '')
    .slice(0, 14)}+0000`
  return [
    `MSH|^~\\&|CENSUS|MARROWBY|THERAPY|MARROWBY|${time}||ADT^A01^ADT_A01|${controlId}|T|2.5.1|||AL|NE`,
    `EVN|A01|${time}`,
    `PID|1||MB90${patient}^^^MARROWBY^MR||Quell^Ansgar||19610405|M`,
    `PV1|1|I|4EAST^4${10 + patient}^A^MARROWBY|U`,
  ].join('\r')
}
