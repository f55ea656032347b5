import { type IdSource, uuidv7 } from '../../src/chart/ids.ts'
import { type AnyFact, type BodyOf, type KindName, type Writer, writeFact } from '../../src/chart/registry.ts'

/** Ids that are the same in every run: a clock that is told, and bytes from a small seeded generator. */
export function seededIds(seed: number, nowMs: () => number): IdSource {
  let state = seed >>> 0
  const next = () => {
    state = (Math.imul(state, 1_664_525) + 1_013_904_223) >>> 0
    return state >>> 24
  }
  return { nowMs, randomBytes: (length) => Uint8Array.from({ length }, next) }
}

/** Writes facts for tests: one person, one device, a clock that moves only when told. */
export class TestWriter {
  at: string
  readonly #ids: IdSource
  readonly #who: { personId: string; role: Writer['by']['role'] }
  constructor(
    at: string,
    seed = 1,
    who: { personId: string; role: Writer['by']['role'] } = { personId: 'amsel', role: 'therapist' },
  ) {
    this.at = at
    this.#who = who
    this.#ids = seededIds(seed, () => Date.parse(this.at))
  }

  write<K extends KindName>(
    kind: K,
    about: AnyFact['about'],
    body: BodyOf<K>,
    more: { happenedAt?: string; corrects?: string } = {},
  ): Extract<AnyFact, { kind: K }> {
    const writer: Writer = {
      facility: 'larkmere',
      by: this.#who,
      device: 'tablet-1',
      newId: () => uuidv7(this.#ids),
      nowMs: () => Date.parse(this.at),
    }
    return writeFact(writer, kind, about, body, more)
  }
}

/** An order for albuterol four times a day, as a message would give it. */
export const QID_ALBUTEROL: BodyOf<'order-placed'>['order'] = {
  placer: 'P1',
  filler: null,
  group: null,
  title: 'albuterol 2.5 mg in 3 mL',
  medicines: [
    {
      medicineId: 'albuterol',
      code: 'MED0101',
      text: 'albuterol',
      amountMin: 2.5,
      amountMax: null,
      unit: 'mg',
      part: 'medicine',
    },
  ],
  route: 'inhalation',
  device: 'nebulizer',
  method: null,
  frequency: { code: 'QID', timesPerDay: 4, standardTimes: true },
  priority: 'routine',
  startAt: '2026-03-10T11:00:00.000Z',
  endAt: null,
  prn: null,
  indication: 'wheeze',
  prescriber: { id: '8801', name: 'Ines Harrowgate' },
  instruction: null,
}
