import type { BodyOf } from '../../chart/registry.ts'
import type { FieldReader, MessageReader } from './reader.ts'

type Outside = BodyOf<'outside-record-received'>

/** Table 0085. Final, corrected, preliminary: there is a value. */
const WITH_VALUE = ['F', 'C', 'P']
/** Could not be had, was wrong, is deleted: whatever stands in OBX-5 is no value, not a zero and not an empty text. */
const WITHOUT_VALUE = ['X', 'W', 'D']
const OTHER_STATUS = ['I', 'N', 'O', 'R', 'S', 'U']
/** Table 0322: complete, partial, not given, refused. */
const ADMINISTERED = ['CP', 'PA', 'NA', 'RE']

/** What another system charted: administrations (RAS) and observations (ORU). Kept as said; a missing value stays missing. */
export function readOutside(reader: MessageReader): Outside {
  checkRoutes(reader)
  const administrations = reader.all('RXA').map((rxa) => ({
    status: administrationStatus(rxa),
    startedAt: rxa.time(3, 'the start'),
    endedAt: rxa.time(4, 'the end'),
    medicine: rxa.at.text(5, 2) ?? rxa.required(5, 'the medicine') ?? '',
    code: rxa.at.text(5) ?? '',
    amount: rxa.at.raw(6) === '' ? rxa.wrong('101', 6, 'the amount is missing') : rxa.number(6, 'the amount'),
    unit: rxa.at.text(7),
    lot: rxa.at.text(15),
    expiry: rxa.date(16, 'the expiry'),
    reason: rxa.at.text(18),
    by: rxa.at.text(10),
  }))
  const observations = reader.all('OBX').map((obx) => {
    const status = observationStatus(obx)
    const missing = status !== null && WITHOUT_VALUE.includes(status)
    const isNumber = obx.at.text(2) === 'NM'
    if (isNumber && status !== null && WITH_VALUE.includes(status) && obx.at.raw(5) === '')
      obx.wrong('101', 5, `the value is missing, and the status is ${status}`)
    return {
      code: obx.required(3, 'what was observed') ?? '',
      text: obx.at.text(3, 2) ?? '',
      when: obx.at.text(4),
      value: missing || !isNumber ? null : obx.number(5, 'the value'),
      said: missing || isNumber ? [] : obx.at.repeats(5).flatMap((repeat) => obx.at.part(repeat) ?? []),
      unit: obx.at.text(6),
      flag: obx.at.text(8),
      status,
      at: obx.time(14, 'the time'),
    }
  })
  return { administrations, observations }
}

function administrationStatus(rxa: FieldReader): string | null {
  const status = rxa.required(20, 'whether it was given')
  return status === null || ADMINISTERED.includes(status)
    ? status
    : rxa.wrong('103', 20, `status "${status}" is none of ${ADMINISTERED.join(', ')}`)
}

function observationStatus(obx: FieldReader): string | null {
  const status = obx.required(11, 'the status of the result')
  const known = [...WITH_VALUE, ...WITHOUT_VALUE, ...OTHER_STATUS]
  return status === null || known.includes(status)
    ? status
    : obx.wrong('103', 11, `status "${status}" is none of ${known.join(', ')}`)
}

/** Every administration is followed by its route. */
function checkRoutes(reader: MessageReader): void {
  let [orders, routed] = [0, true]
  const tell = () => {
    if (!routed) reader.problem('101', 'RXR', orders, 1, 'the route is missing')
  }
  for (const { name } of reader.inOrder()) {
    if (name === 'ORC') {
      tell()
      orders += 1
      routed = true
    } else if (name === 'RXA') routed = false
    else if (name === 'RXR') routed = true
  }
  tell()
}
