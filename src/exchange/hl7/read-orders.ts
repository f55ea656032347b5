import type { MedicineCodes } from '../../chart/documents/medicine-codes.ts'
import type { OrderBody, OrderedMedicine } from '../../chart/facts/orders.ts'
import { readQuantityTiming, readTq1, type TimingReading } from './read-frequency.ts'
import type { FieldReader, MessageReader } from './reader.ts'

/** What is asked to be done with an order (table 0119, the codes read here). */
export type OrderAct = 'new' | 'change' | 'hold' | 'release' | 'discontinue'

export type OrderReading = {
  readonly act: OrderAct
  readonly placer: string
  readonly filler: string | null
  readonly effectiveAt: string | null
  /** When the order was written, where its language says so; otherwise it counts from when it came. */
  readonly writtenAt?: string | null
  readonly reason: string | null
  /** The terms; null where the act needs none and the message's own could not be read whole. */
  readonly order: OrderBody | null
}

const ACTS: Readonly<Record<string, OrderAct>> = {
  NW: 'new',
  XO: 'change',
  RP: 'change',
  HD: 'hold',
  RL: 'release',
  DC: 'discontinue',
  CA: 'discontinue',
  OD: 'discontinue',
}

/** The orders of an RDE or OMP message, one for each ORC with what follows it. */
export function readOrders(reader: MessageReader, codes: MedicineCodes): OrderReading[] {
  return groups(reader).flatMap((group) => readOrder(group, codes) ?? [])
}

type Group = { readonly orc: FieldReader; readonly rest: readonly FieldReader[] }

function groups(reader: MessageReader): Group[] {
  const found: { orc: FieldReader; rest: FieldReader[] }[] = []
  for (const segment of reader.inOrder()) {
    if (segment.name === 'ORC') found.push({ orc: segment, rest: [] })
    else found.at(-1)?.rest.push(segment)
  }
  return found
}

function readOrder({ orc, rest }: Group, codes: MedicineCodes): OrderReading | null {
  const control = orc.required(1, 'the order control')
  const placer = orc.required(2, 'the order number of whoever placed it')
  const act = control === null ? undefined : ACTS[control]
  if (control !== null && act === undefined) orc.wrong('103', 1, `order control ${control} is not read here`)
  if (act === undefined || placer === null) return null
  const needsTerms = act === 'new' || act === 'change'
  return {
    act,
    placer,
    filler: orc.at.text(3),
    effectiveAt: orc.time(15, 'when it takes effect'),
    reason: orc.at.text(16, 2) ?? orc.at.text(16),
    order: needsTerms ? terms({ orc, rest }, placer, codes) : null,
  }
}

function terms({ orc, rest }: Group, placer: string, codes: MedicineCodes): OrderBody | null {
  const rxe = rest.find(({ name }) => name === 'RXE')
  // What stands between RXO and RXE belongs to the order as asked for; the encoded one has its own.
  const own = rxe ? rest.slice(rest.indexOf(rxe)) : rest
  const named = (name: string) => own.find((segment) => segment.name === name)
  const give = rxe
    ? { at: rxe, code: 2, min: 3, max: 4, unit: 5, note: 7 }
    : { at: named('RXO'), code: 1, min: 2, max: 3, unit: 4, note: 6 }
  if (!give.at) {
    orc.of.problem(
      '100',
      'ORC',
      orc.sequence,
      null,
      `order ${placer} does not say what is to be given (RXE or RXO)`,
    )
    return null
  }
  const parts = own.filter(({ name }) => name === 'RXC').map((rxc) => component(rxc, codes))
  const single = medicine(give.at, give, codes, parts.length > 0)
  const when = timing(
    orc,
    rxe,
    rest.filter(({ name }) => name === 'TQ1'),
  )
  const rxr = route(orc, own)
  const medicines = parts.length > 0 ? parts : [single]
  return {
    placer,
    filler: orc.at.text(3),
    group: orc.at.text(4),
    title: titleOf(medicines),
    medicines,
    route: rxr?.at.text(1, 2) ?? rxr?.at.text(1) ?? null,
    device: rxr?.at.text(3, 2) ?? rxr?.at.text(3) ?? null,
    method: rxr?.at.text(4, 2) ?? rxr?.at.text(4) ?? null,
    frequency: when.frequency,
    priority: when.priority,
    startAt: when.startAt ?? orc.time(15, 'when it takes effect'),
    endAt: when.endAt,
    prn: when.prn,
    indication:
      (rxe ? (rxe.at.text(27, 2) ?? rxe.at.text(27)) : (give.at.at.text(20, 2) ?? give.at.at.text(20))) ??
      null,
    prescriber: prescriber(orc),
    instruction:
      [give.at.at.text(give.note, 2) ?? give.at.at.text(give.note), ...when.words]
        .filter(Boolean)
        .join('\n') || null,
  }
}

type Give = { readonly code: number; readonly min: number; readonly max: number; readonly unit: number }

/** The medicine of an order without parts. Of a mixture only the name is read here; its parts carry the amounts. */
function medicine(segment: FieldReader, at: Give, codes: MedicineCodes, isMixture: boolean): OrderedMedicine {
  const code = segment.required(at.code, 'the medicine')
  const amountMin = segment.number(at.min, 'the amount')
  const amountMax = segment.number(at.max, 'the upper amount')
  const unit = segment.at.text(at.unit)
  if (!isMixture) {
    if (segment.at.raw(at.min) === '') segment.wrong('101', at.min, 'the amount is missing')
    if (unit === null) segment.wrong('101', at.unit, 'the unit is missing')
    if (amountMin !== null && amountMin <= 0)
      segment.wrong('102', at.min, `the amount is ${amountMin}; it must be above zero`)
    if (amountMin !== null && amountMax !== null && amountMax < amountMin)
      segment.wrong('102', at.max, 'the upper amount is below the lower')
  }
  return ordered(code ?? '', segment.at.text(at.code, 2), amountMin, amountMax, unit, 'medicine', codes)
}

function component(rxc: FieldReader, codes: MedicineCodes): OrderedMedicine {
  const part = rxc.required(1, 'whether it is an additive or the base')
  if (part !== null && part !== 'A' && part !== 'B')
    rxc.wrong('103', 1, `"${part}" is neither A (additive) nor B (base)`)
  const code = rxc.required(2, 'the component')
  const amount = rxc.number(3, 'the amount')
  if (rxc.at.raw(3) === '') rxc.wrong('101', 3, 'the amount of the component is missing')
  const unit = rxc.required(4, 'the unit of the component')
  return ordered(
    code ?? '',
    rxc.at.text(2, 2),
    amount,
    null,
    unit,
    part === 'B' ? 'diluent' : 'medicine',
    codes,
  )
}

function ordered(
  code: string,
  text: string | null,
  amountMin: number | null,
  amountMax: number | null,
  unit: string | null,
  part: OrderedMedicine['part'],
  codes: MedicineCodes,
): OrderedMedicine {
  const known = codes.codes.find((each) => each.code === code)
  return {
    medicineId: known?.medicineId ?? null,
    code,
    text: text ?? known?.text ?? (code || 'not named'),
    amountMin,
    amountMax,
    unit,
    part,
  }
}

/** How it is given. Of several routes none is chosen here. */
function route(orc: FieldReader, rest: readonly FieldReader[]): FieldReader | undefined {
  const [rxr, second] = rest.filter(({ name }) => name === 'RXR')
  if (!rxr) orc.of.problem('101', 'RXR', orc.sequence, 1, 'the route is missing')
  else if (rxr.at.text(1) === null && rxr.at.text(1, 2) === null) rxr.wrong('101', 1, 'the route is missing')
  second?.wrong('103', 1, 'an order with more than one route is not read here; send one order for each')
  return rxr
}

function timing(
  orc: FieldReader,
  rxe: FieldReader | undefined,
  [tq1, second]: readonly FieldReader[],
): TimingReading {
  second?.wrong(
    '103',
    3,
    'an order with a second timing (TQ1) is not read here; send one order for each, nothing was made of this one',
  )
  if (tq1) return readTq1(tq1)
  if (orc.at.raw(7) !== '') return readQuantityTiming(orc, 7)
  if (rxe && rxe.at.raw(1) !== '') return readQuantityTiming(rxe, 1)
  orc.of.problem('101', 'TQ1', 1, 3, 'nothing says how often')
  return { frequency: null, startAt: null, endAt: null, priority: 'routine', prn: null, words: [] }
}

function prescriber(orc: FieldReader): OrderBody['prescriber'] {
  const [id, family, given] = [orc.at.text(12, 1), orc.at.text(12, 2), orc.at.text(12, 3)]
  return id === null && family === null
    ? null
    : { id: id ?? '', name: [given, family].filter(Boolean).join(' ') || (id ?? '') }
}

/** "albuterol 2.5 mg + ipratropium bromide 0.5 mg": what is in the cup, as a person says it; diluents are left out. */
export function titleOf(medicines: readonly OrderedMedicine[]): string {
  return medicines
    .filter(({ part }) => part === 'medicine')
    .map(({ text, amountMin, amountMax, unit }) => {
      const amount =
        amountMin === null
          ? ''
          : `${amountMin}${amountMax === null ? '' : ` to ${amountMax}`} ${unit ?? ''}`.trim()
      return amount === '' || text.includes(amount) ? text : `${text} ${amount}`
    })
    .join(' + ')
}
