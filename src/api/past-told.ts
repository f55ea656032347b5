import type { PastRun } from '../chart/folds/charted-runs.ts'
import type { PastStay } from '../shift/index.ts'
import type { Learned } from './schemas.ts'

/** Rows of past visits to learn from. */
export type PastRows = { readonly runs: readonly PastRun[]; readonly stays: readonly PastStay[] }
type PastTold = NonNullable<Learned['past']>

/** Rows as they are told: without names of fields, and each name that comes again and again written once. */
export function tellPast({ runs, stays }: PastRows, countedAt: string): PastTold {
  const places = new Map<string, number>()
  const named = (name: string) => {
    const place = places.get(name) ?? places.size
    places.set(name, place)
    return place
  }
  const runsTold = runs.map((run): PastTold['runs'][number] => {
    const { visitId, cupId, endedAt, runMs, how, leftMl, fillMl, gas, flowLPerMin, fromCompressor } = run
    return [
      visitId,
      named(cupId),
      Date.parse(endedAt),
      runMs,
      how,
      leftMl,
      fillMl,
      gas,
      flowLPerMin,
      fromCompressor,
    ]
  })
  const staysTold = stays.map(({ visitId, openedAt, took }): PastTold['stays'][number] => {
    if (took === null) return [visitId, Date.parse(openedAt), null]
    const { category, cupId, medicines, runMs, handsMs, forecastMinutes } = took
    return [
      visitId,
      Date.parse(openedAt),
      [named(category), named(cupId), named(medicines), runMs, handsMs, forecastMinutes],
    ]
  })
  return { countedAt, names: [...places.keys()], runs: runsTold, stays: staysTold }
}

/** Runs as they were before they were told. */
export function readRuns({ names, runs }: Pick<PastTold, 'names' | 'runs'>): PastRun[] {
  return runs.map((row) => {
    const [visitId, cup, endedMs, runMs, how, leftMl, fillMl, gas, flowLPerMin, fromCompressor] = row
    const [cupId, endedAt] = [nameAt(names, cup), instant(endedMs)]
    return { visitId, cupId, endedAt, runMs, how, leftMl, fillMl, gas, flowLPerMin, fromCompressor }
  })
}

/** Stays as they were before they were told. */
export function readStays({ names, stays }: Pick<PastTold, 'names' | 'stays'>): PastStay[] {
  return stays.map(([visitId, openedMs, told]) => {
    const openedAt = instant(openedMs)
    if (told === null) return { visitId, openedAt, took: null }
    const [category, cup, medicines, runMs, handsMs, forecastMinutes] = told
    const took = {
      category: nameAt(names, category),
      cupId: nameAt(names, cup),
      medicines: nameAt(names, medicines),
      runMs,
      handsMs,
      forecastMinutes,
    }
    return { visitId, openedAt, took }
  })
}

/** @throws RangeError where the name did not come along; the schema lets no such reply in */
function nameAt(names: readonly string[], place: number): string {
  const name = names[place]
  if (name === undefined) throw new RangeError(`no name at place ${place}`)
  return name
}

function instant(ms: number): string {
  return new Date(ms).toISOString()
}
