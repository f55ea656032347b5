import { BadInput, type Worked } from '../../worked.ts'
import { above, type Exact, equals, figure, minus, over, positive, zeroOrMore } from '../dose/exact.ts'
import { figured } from '../dose/figured.ts'
import { SOURCES } from '../sources.ts'

/** A small cup fed by a pump. `runsDryAtMl` is the volume below which it only sputters. */
export type FedCup = {
  readonly pumpMlPerH: number
  readonly outputMlPerH: number
  readonly startMl: number
  readonly capacityMl: number
  readonly runsDryAtMl?: number
}

export type CupLevel =
  | { readonly kind: 'level' }
  | { readonly kind: 'dries' | 'overflows'; readonly drift: Worked<'mL/h'>; readonly after: Worked<'h'> }

const BASIS = [SOURCES.definition]

/**
 * Whether a pump-fed cup keeps its level, and if not, after how many hours it runs dry or overflows
 * (dV/dt = pump − output).
 * @throws BadInput when a figure cannot be used, or when the start is outside the cup
 */
export function cupLevel(cup: FedCup): CupLevel {
  const pump = positive('pump speed', cup.pumpMlPerH, 'mL/h')
  const output = positive('cup output', cup.outputMlPerH, 'mL/h')
  const capacity = positive('capacity of the cup', cup.capacityMl, 'mL')
  const dry = zeroOrMore('volume at which it runs dry', cup.runsDryAtMl ?? 0, 'mL')
  const start = zeroOrMore('volume at the start', cup.startMl, 'mL')
  if (above(start, capacity) || above(dry, start)) {
    throw new BadInput(
      'volume at the start',
      `${figure(start)} mL`,
      `${figure(dry)} to ${figure(capacity)} mL`,
    )
  }
  if (above(pump, output)) return drifts('overflows', pump, output, minus(capacity, start))
  if (above(output, pump)) return drifts('dries', pump, output, minus(start, dry))
  return { kind: 'level' }
}

function drifts(kind: 'dries' | 'overflows', pump: Exact, output: Exact, room: Exact): CupLevel {
  const drift = minus(pump, output)
  const speed = kind === 'dries' ? minus(output, pump) : drift
  const after = over(room, speed)
  const first = `${figure(pump)} mL/h − ${figure(output)} mL/h ${equals(drift)} mL/h`
  const second = `${figure(room)} mL ÷ ${figure(speed)} mL/h ${equals(after)} h until the cup ${kind}`
  return {
    kind,
    drift: figured(drift, 'mL/h', [first], BASIS),
    after: figured(after, 'h', [first, second], BASIS),
  }
}
