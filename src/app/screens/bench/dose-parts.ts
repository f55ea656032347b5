import type { Figures } from '../../../clinical/aerosol/figures.ts'

/** One part of the dose: what becomes of it in words, and how much. The parts of a set-up add up to the dose. */
export type DosePart = {
  readonly name: PartName
  readonly words: string
  readonly mg: number
  /** Tenths of a percent of the dose; those of all parts add up to 1000. */
  readonly perMille: number
}

type PartName = 'cup' | 'left' | 'room' | 'exhaled' | 'upper' | 'inhaled' | 'lung'

type Share = Omit<DosePart, 'perMille'>

/**
 * Where the dose goes, as finely as the forecast knows it: after dose = left + leaves, leaves = inhaled + lost,
 * inhaled = where it lands + exhaled. Where a link of that chain is not known, what lies behind it stays one part.
 * Empty when not even what stays in the cup is known.
 */
export function doseParts(figures: Figures, breathesBy: 'mouth' | 'nose'): DosePart[] {
  return withPerMille(sharesOf(figures, breathesBy))
}

function sharesOf(figures: Figures, breathesBy: 'mouth' | 'nose'): Share[] {
  const likely = (name: keyof Figures) => figures[name]?.likely ?? null
  const [left, leaves] = [likely('leftInCupMg'), likely('leavesCupMg')]
  if (left === null || leaves === null) return []
  const cup: Share = { name: 'cup', words: 'stays in the cup', mg: left }
  const [inhaled, lost] = [likely('inhaledMg'), likely('lostToRoomMg')]
  if (inhaled === null || lost === null) return [cup, { name: 'left', words: 'leaves the cup', mg: leaves }]
  const room: Share = { name: 'room', words: 'out to the room', mg: lost }
  const [lung, exhaled] = [likely('lungMg'), likely('exhaledMg')]
  const [throat, nose] = [likely('mouthThroatMg'), likely('noseMg')]
  if (lung === null || exhaled === null || throat === null || nose === null) {
    return [cup, room, { name: 'inhaled', words: 'breathed in', mg: inhaled }]
  }
  return [
    cup,
    room,
    { name: 'exhaled', words: 'breathed out again', mg: exhaled },
    {
      name: 'upper',
      words: breathesBy === 'nose' ? 'nose and throat' : 'mouth and throat',
      mg: throat + nose,
    },
    { name: 'lung', words: 'lung', mg: lung },
  ]
}

/** Rounded to tenths of a percent so that they add up: the largest remainders are rounded up, as many as it takes. */
function withPerMille(shares: readonly Share[]): DosePart[] {
  const whole = shares.reduce((sum, { mg }) => sum + mg, 0)
  if (shares.length === 0 || !(whole > 0)) return []
  const exact = shares.map(({ mg }) => (1000 * mg) / whole)
  const down = exact.map(Math.floor)
  const missing = 1000 - down.reduce((sum, each) => sum + each, 0)
  const byRemainder = exact
    .map((each, at) => ({ at, remainder: each - Math.floor(each) }))
    .sort((a, b) => b.remainder - a.remainder)
  const up = new Set(byRemainder.slice(0, missing).map(({ at }) => at))
  return shares.map((share, at) => ({ ...share, perMille: (down[at] ?? 0) + (up.has(at) ? 1 : 0) }))
}

/** `8.5 %`; a part that is there but rounds to nothing says so. */
export function percentText({ perMille, mg }: Pick<DosePart, 'perMille' | 'mg'>): string {
  if (perMille === 0 && mg > 0) return 'under 0.1 %'
  return `${perMille / 10} %`
}
