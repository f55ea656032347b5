import type { BodyOf } from '../../chart/registry.ts'
import type { MessageReader } from './reader.ts'

type Outside = BodyOf<'outside-record-received'>

/** What another system charted: administrations (RAS) and observations (ORU). Kept as said; a missing value stays missing. */
export function readOutside(reader: MessageReader): Outside {
  const administrations = reader.all('RXA').map((rxa) => ({
    status: rxa.at.text(20),
    startedAt: rxa.time(3, 'the start'),
    endedAt: rxa.time(4, 'the end'),
    medicine: rxa.at.text(5, 2) ?? rxa.required(5, 'the medicine') ?? '',
    code: rxa.at.text(5) ?? '',
    amount: rxa.number(6, 'the amount'),
    unit: rxa.at.text(7),
    lot: rxa.at.text(15),
    expiry: rxa.date(16, 'the expiry'),
    reason: rxa.at.text(18),
    by: rxa.at.text(10),
  }))
  const observations = reader.all('OBX').map((obx) => {
    // X: the result could not be had. It is not a zero, and not an empty text either.
    const missing = obx.at.text(11) === 'X'
    const isNumber = obx.at.text(2) === 'NM'
    return {
      code: obx.required(3, 'what was observed') ?? '',
      text: obx.at.text(3, 2) ?? '',
      when: obx.at.text(4),
      value: missing || !isNumber ? null : obx.number(5, 'the value'),
      said: missing || isNumber ? [] : obx.at.repeats(5).flatMap((repeat) => obx.at.part(repeat) ?? []),
      unit: obx.at.text(6),
      flag: obx.at.text(8),
      status: obx.at.text(11),
      at: obx.time(14, 'the time'),
    }
  })
  return { administrations, observations }
}
