import { readdirSync, readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import { MEDICINE_CODES } from '../../chart/documents/medicine-codes.ts'
import type { PatientPatch } from '../../chart/facts/census.ts'
import { parseMessage, SegmentReader, writeMessage } from './message.ts'
import { MllpDecoder } from './mllp.ts'
import { type Hl7Reading, readHl7 } from './read-hl7.ts'
import type { OrderReading } from './read-orders.ts'
import wanted from './test-data/expected.json' with { type: 'json' }

const FOLDER = new URL('./test-data/', import.meta.url)
const SETTINGS = {
  timeZone: 'America/New_York',
  codes: MEDICINE_CODES.defaults,
  us: { application: 'THERAPY', facility: 'MARROWBY', controlId: 'A1', now: '2026-03-10T12:00:00.000Z' },
}
const text = (name: string) => readFileSync(new URL(name, FOLDER), 'utf8')
const read = (name: string) => readHl7(text(name), SETTINGS)

type Wanted = { readonly [key: string]: unknown }
const of = (name: string) => (wanted as Record<string, Wanted>)[name] ?? {}
const names = Object.keys(wanted)
const messages = names.filter((name) => name.endsWith('.hl7'))

/** Each ERR of an answer as segment, fields and code. */
function errorsIn(answer: string) {
  return answer
    .split('\r')
    .filter((line) => line.startsWith('ERR'))
    .map((line) => line.split('|'))
    .map(([, , place = '', code = '', severity]) => {
      const [segment, , field] = place.split('^')
      return {
        segment,
        field: field === undefined ? null : Number(field),
        code: code.split('^')[0],
        severity,
      }
    })
}

describe('every sample is answered as the standard asks', () => {
  it('knows every file of the folder, and every file is there', () => {
    const there = readdirSync(FOLDER).filter((name) => /\.(hl7|bin)$/.test(name))
    expect(there.sort()).toEqual([...names].sort())
    expect(names).toHaveLength(25)
  })
  it.each(messages.filter((name) => 'ack' in of(name)))('%s', (name) => {
    const { ack, type } = of(name)
    const { answer, ...reading } = read(name)
    expect(answer?.code ?? null).toBe(ack)
    if (type !== undefined) expect(reading.type).toBe(type)
    if (answer) expect(answer.text).toContain(`\rMSA|${answer.code}|${text(name).split(/[|#]/)[9]}\r`)
  })
  it.each(messages.filter((name) => name.startsWith('bad') && of(name).ack))('%s: code and place', (name) => {
    const { error } = of(name) as {
      error: { code: string; segment?: string; field?: number; fields?: number[] }
    }
    const errors = errorsIn(read(name).answer?.text ?? '')
    expect(errors.map(({ code, severity }) => [code, severity])).toEqual(errors.map(() => [error.code, 'E']))
    expect(errors.length).toBeGreaterThan(0)
    if (error.segment === undefined) return
    const fields = error.fields ?? [error.field]
    expect(errors.map(({ segment, field }) => [segment, field])).toEqual(
      fields.map((field) => [error.segment, field]),
    )
  })
  it('makes nothing of a message that it answers with an error', () => {
    const made = messages.filter((name) => name.startsWith('bad')).map((name) => read(name).content.kind)
    expect(made).toEqual(Array(8).fill('nothing'))
  })
  it('never answers an acknowledgment', () => {
    expect([read('15-ack-aa.hl7').answer, read('16-ack-ae-err.hl7').answer]).toEqual([null, null])
  })
})

function patchOf({ content }: Hl7Reading): PatientPatch {
  if (content.kind === 'census') return content.patch
  if (content.kind === 'orders') return content.patient
  throw new Error(`no patient in ${content.kind}`)
}

describe('patients come out as sent', () => {
  const withPatient = messages.filter((name) => 'patient' in of(name) && of(name).ack === 'AA')
  it('covers seven messages', () => expect(withPatient).toHaveLength(7))
  it.each(withPatient)('%s', (name) => {
    const { patient, location } = of(name) as { patient: Record<string, string>; location?: object }
    const patch = patchOf(read(name))
    const band = patch.identifiers?.find(({ type }) => type === 'PI')?.value
    const said: Record<string, unknown> = {
      mrn: patch.mrn,
      family: patch.family,
      given: patch.given,
      given2: patch.middle,
      dob: patch.dob,
      sex: patch.sex?.charAt(0).toUpperCase(),
      visit: patch.visitNumber,
      wristbandGsrn: band,
    }
    expect(Object.fromEntries(Object.keys(patient).map((key) => [key, said[key]]))).toEqual(patient)
    if (location) expect(patch.place).toEqual(location)
  })
  it('with weight, isolation and allergies', () => {
    const { allergies, weightKg, isolation } = of('01-adt-a01-admit.hl7')
    const patch = patchOf(read('01-adt-a01-admit.hl7'))
    expect(patch.allergies?.map(({ code }) => code)).toEqual(allergies)
    expect([patch.weightKg, patch.isolation]).toEqual([weightKg, [isolation]])
  })
  it('with the time of discharge', () => {
    const { dischargeTime } = of('04-adt-a03-discharge.hl7')
    expect(patchOf(read('04-adt-a03-discharge.hl7')).dischargedAt).toBe(
      new Date(String(dischargeTime)).toISOString(),
    )
  })
  it('with the sender behind an escaped delimiter', () => {
    expect(read('13-rde-escapes.hl7').sender).toContain(String(of('13-rde-escapes.hl7').sendingFacility))
  })
})

/** One order in the words of the expectations. */
function said({ act, placer, filler, effectiveAt, reason, order }: OrderReading): Wanted {
  const only = order?.medicines.length === 1 ? order.medicines[0] : undefined
  const every = order?.frequency?.everyMinutes
  return {
    control: { new: 'NW', change: 'XO', hold: 'HD', release: 'RL', discontinue: 'DC' }[act],
    placer,
    filler,
    code: only?.code,
    codeText: only?.text,
    give: only && {
      min: only.amountMin,
      ...(only.amountMax !== null && { max: only.amountMax }),
      unit: only.unit,
    },
    components: order?.medicines.map(({ part, code, amountMin, unit }) => [
      part === 'diluent' ? 'B' : 'A',
      code,
      amountMin,
      unit,
    ]),
    repeat: {
      code: order?.frequency?.code,
      everyHours: every === undefined ? undefined : every / 60,
      institutionTimes: order?.frequency?.standardTimes,
      times: order?.frequency?.statedTimes,
    },
    start: order?.startAt,
    end: order?.endAt,
    prn: order ? order.prn !== null : undefined,
    condition: order?.prn?.reason,
    instruction: order?.instruction,
    effective: effectiveAt,
    reason,
  }
}

/** What differs from an expectation, key by key. The names of codes (route, device, method, reason) are checked below. */
function misses(expected: Wanted, found: Wanted): string[] {
  const named = ['route', 'device', 'method', 'reason']
  return Object.entries(expected).flatMap(([key, value]) => {
    if (named.includes(key)) return []
    if (key === 'repeat') return misses(value as Wanted, found.repeat as Wanted)
    if (key === 'code' && found.code === undefined && found.components !== undefined) return []
    const instant = ['start', 'end', 'effective'].includes(key)
    const want = instant ? new Date(String(value)).toISOString() : value
    return JSON.stringify(want) === JSON.stringify(found[key])
      ? []
      : [`${key}: ${JSON.stringify(found[key])}`]
  })
}

describe('orders come out as sent', () => {
  const withOrders = messages.filter((name) => 'orders' in of(name))
  it('covers six messages with eight orders', () => {
    expect([withOrders.length, withOrders.flatMap((name) => of(name).orders).length]).toEqual([6, 8])
  })
  it.each(withOrders)('%s', (name) => {
    const { content } = read(name)
    const expected = of(name).orders as Wanted[]
    const orders = content.kind === 'orders' ? content.orders.map(said) : []
    expect(orders).toHaveLength(expected.length)
    expect(expected.map((order, at) => misses(order, orders[at] ?? {}))).toEqual(expected.map(() => []))
  })
  it('with route, device, method and reason by the names that came with their codes', () => {
    const { content } = read('05-rde-new-qid.hl7')
    const order = content.kind === 'orders' ? content.orders[0]?.order : null
    expect([order?.route, order?.device, order?.method]).toEqual(['Inhalation', 'Nebulizer', 'Nebulized'])
    const held = read('09-rde-hold-and-discontinue.hl7').content
    expect(held.kind === 'orders' && held.orders[0]?.reason).toBe('Heart rate')
  })
})

describe('what others charted comes out as sent', () => {
  const outside = (name: string) => {
    const { content } = read(name)
    if (content.kind !== 'outside') throw new Error(`${name} gave ${content.kind}`)
    return content.outside
  }
  it('given: status, times, lot, expiry, who', () => {
    const { administrations, observations } = outside('10-ras-given.hl7')
    const [want] = of('10-ras-given.hl7').administrations as Record<string, string | number>[]
    const [given] = administrations
    expect({ ...given }).toMatchObject({
      status: want?.status,
      startedAt: new Date(String(want?.start)).toISOString(),
      endedAt: new Date(String(want?.end)).toISOString(),
      lot: want?.lot,
      expiry: want?.expiry,
      by: want?.by,
    })
    const ms = Date.parse(given?.endedAt ?? '') - Date.parse(given?.startedAt ?? '')
    expect(ms / 60_000).toBe(want?.minutes)
    expect(observations).toHaveLength(Number(of('10-ras-given.hl7').observations))
  })
  it('refused: nothing was given, and why', () => {
    const [refused] = outside('11-ras-refused.hl7').administrations
    expect(refused).toMatchObject({ status: 'RE', amount: 0, reason: 'PTREF' })
    expect(refused?.startedAt).toBe(refused?.endedAt)
  })
  it('observations: what could not be obtained stays missing', () => {
    const rows = of('12-oru-r01-bedside.hl7').observations as unknown[][]
    const found = outside('12-oru-r01-bedside.hl7').observations
    expect(found).toHaveLength(rows.length)
    expect(
      found.map(({ code, value, said, unit, flag, status }) => {
        if (status === 'X') return [code, value, 'X']
        return [code, value ?? said, ...(unit === null ? [] : [unit]), ...(flag === null ? [] : [flag])]
      }),
    ).toEqual(rows)
  })
})

describe('splitting and joining', () => {
  const parsable = messages.filter((name) => parseMessage(text(name)) !== null)
  it('gives every sample that has a header back byte for byte', () => {
    expect(parsable).toHaveLength(23)
    const changed = parsable.filter((name) => {
      const message = parseMessage(text(name))
      return message === null || writeMessage(message) !== text(name)
    })
    expect(changed).toEqual([])
  })
  it('tells a deletion from a field that was not sent', () => {
    const message = parseMessage(text('03-adt-a08-update.hl7'))
    const pid = message?.segments.find(({ name }) => name === 'PID')
    if (!message || !pid) throw new Error('no patient')
    const reader = new SegmentReader(pid, message.delimiters)
    expect([reader.isDeleted(16), reader.isDeleted(17), reader.text(16)]).toEqual([true, false, null])
  })
})

describe('frames in a byte stream', () => {
  const bytes = new Uint8Array(readFileSync(new URL('17-mllp-two-frames.bin', FOLDER)))
  it.each([1, 7, 1000, bytes.length])('are the same when they come %d bytes at a time', (size) => {
    const decoder = new MllpDecoder()
    const frames = Array.from({ length: Math.ceil(bytes.length / size) }, (_, at) =>
      decoder.take(bytes.subarray(at * size, (at + 1) * size)),
    ).flat()
    const ids = frames.map((frame) =>
      frame.kind === 'message' ? new TextDecoder().decode(frame.bytes).split('|')[9] : frame.what,
    )
    expect(ids).toEqual(of('17-mllp-two-frames.bin').frames)
  })
})
