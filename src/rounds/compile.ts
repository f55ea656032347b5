import { type FlatProblem, freeRates, NEVER, turned } from './engine/flat.ts'
import type { Patient, Shift, Visit } from './model.ts'
import { fixedVisits, openingStanding, rankOf, type Spot, type Standing, walkMinutes } from './standing.ts'

/** A shift as flat tables, with the names that go with the numbers. */
export type Compiled = {
  readonly shift: Shift
  readonly standing: Standing
  readonly flat: FlatProblem
  /** Visits still free to be planned, in the order of the flat tables. */
  readonly visits: readonly Visit[]
}

type Node = Spot & { readonly rank: number }

/** Lateness never counts for places that are not visits. */
const NO_LIMIT = NEVER

/**
 * Compiles the part of a shift that is still free at the standing (by default all of it). Fixed visits turn into
 * starting places, release times and therapists already seen; their own cost is not in the flat problem.
 */
export function compile(shift: Shift, standing: Standing = openingStanding(shift)): Compiled {
  const fixed = new Set(fixedVisits(shift, standing).map((item) => item.visit))
  const visits = shift.visits.filter((visit) => !fixed.has(visit.id))
  const patients = new Map(shift.patients.map((patient) => [patient.id, patient]))
  const nodes = placeNodes(shift, standing, visits, patients)
  const ways = wayTables(shift, nodes, visits.length)
  const parts = {
    ...ways,
    ...timeTables(shift, standing, visits),
    ...crewTables(shift, standing, visits),
    ...doseTables(shift, standing, visits),
    ...awayTables(standing, visits),
  }
  const routes = shift.therapists.length
  const flat: FlatProblem = {
    visits: visits.length,
    routes,
    nodes: nodes.length,
    ...withPinnedAndFixed(shift, standing, visits, parts),
    coupled: true,
    constant: 0,
    scale: 1,
  }
  return { shift, standing, flat: withReachableEnds(flat), visits }
}

function placeNodes(
  shift: Shift,
  standing: Standing,
  visits: readonly Visit[],
  patients: ReadonlyMap<string, Patient>,
): Node[] {
  const unit = new Map(shift.units.map((item, index) => [item.id, index]))
  const spot = (id: string, patient: string | null, rank: number): Node => ({
    unit: unit.get(id) as number,
    patient,
    rank,
  })
  return [
    ...visits.map((visit) => {
      const patient = patients.get(visit.patient) as Patient
      return spot(patient.unit, patient.id, rankOf(patient))
    }),
    ...shift.therapists.map((therapist) => spot(therapist.break?.unit ?? therapist.start.unit, null, 0)),
    ...standing.therapists.map((therapist) => spot(therapist.unit, therapist.patient, therapist.rank)),
    ...shift.therapists.map((therapist) => spot(therapist.end.unit, null, 0)),
  ]
}

function wayTables(shift: Shift, nodes: readonly Node[], visits: number) {
  const size = nodes.length
  const walk = new Int32Array(size * size)
  const edge = new Int32Array(size * size)
  nodes.forEach((from, a) => {
    nodes.forEach((to, b) => {
      const minutes = walkMinutes(shift, from, to)
      walk[a * size + b] = minutes
      const order = b < visits ? ((shift.weights.isolation[from.rank] as number[])[to.rank] as number) : 0
      edge[a * size + b] = shift.weights.walk * minutes + order
    })
  })
  return { walk, edge, walkInto: turned(walk, size), edgeInto: turned(edge, size) }
}

function timeTables(shift: Shift, standing: Standing, visits: readonly Visit[]) {
  const { therapists, weights } = shift
  const nodes = visits.length + 3 * therapists.length
  const promised = new Map((shift.previousPlan ?? []).map((item) => [item.visit, item.start]))
  const table = (fill = 0) => new Int32Array(nodes).fill(fill)
  const early = table(standing.now)
  const onTime = table(NO_LIMIT)
  const last = table(NO_LIMIT)
  const duration = table()
  const lateRate = table()
  const promise = table(NO_LIMIT)
  const promiseRate = table()
  visits.forEach((visit, v) => {
    early[v] = Math.max(visit.earliest, standing.now)
    onTime[v] = visit.onTimeUntil
    last[v] = visit.latest
    duration[v] = visit.duration
    lateRate[v] = weights.latePerMinute[visit.priority - 1] as number
    const start = promised.get(visit.id)
    if (start === undefined) return
    promise[v] = start + weights.promiseTolerance
    promiseRate[v] = weights.postponePerMinute
  })
  therapists.forEach((therapist, k) => {
    const rest = visits.length + k
    if (therapist.break !== null) {
      early[rest] = Math.max(therapist.break.earliest, standing.now)
      last[rest] = therapist.break.latest
      duration[rest] = therapist.break.duration
    }
    early[visits.length + therapists.length + k] = Math.max(
      standing.therapists[k]?.freeAt ?? therapist.start.time,
      standing.now,
    )
    last[visits.length + 2 * therapists.length + k] = therapist.end.time
  })
  const freeUntil = Int32Array.from(onTime, (limit, i) => Math.min(limit, promise[i] as number))
  const charged = { onTime, lateRate, promise, promiseRate }
  return { early, last, duration, ...charged, freeRate: freeRates(charged), freeUntil }
}

function crewTables(shift: Shift, standing: Standing, visits: readonly Visit[]) {
  const { therapists, weights } = shift
  const routes = therapists.length
  const promised = new Map((shift.previousPlan ?? []).map((item) => [item.visit, item.therapist]))
  const allowed = new Int32Array(visits.length * routes)
  const assign = new Int32Array(visits.length * routes)
  visits.forEach((visit, v) => {
    therapists.forEach((therapist, k) => {
      const able = visit.skill === null || therapist.skills.includes(visit.skill)
      if (able && standing.therapists[k]?.present) allowed[v * routes + k] = 1
      const holder = promised.get(visit.id)
      if (holder !== undefined && holder !== therapist.id) assign[v * routes + k] = weights.reassign
    })
  })
  return {
    drop: Int32Array.from(visits, (visit) => weights.drop[visit.priority - 1] as number),
    demand: new Int32Array(visits.length),
    capacity: new Int32Array(routes).fill(NEVER),
    allowed,
    assign,
    handover: weights.handover,
    loadWeight: weights.maxLoad,
    loadBefore: Int32Array.from(standing.therapists, (therapist) => therapist.load),
    hasBreak: Int32Array.from(therapists, (t, k) =>
      t.break !== null && standing.therapists[k]?.breakPending ? 1 : 0,
    ),
    kind: Int32Array.from(therapists, (_, k) => k),
  }
}

/** The order of one patient's doses: by due time, then as listed. */
export function doseOrder(visits: readonly Visit[]): Visit[] {
  return [...visits].sort((a, b) => a.due - b.due) // the sort is stable, so ties keep the order of the file
}

function doseTables(shift: Shift, standing: Standing, visits: readonly Visit[]) {
  const groupOf = new Map(shift.patients.map((patient, g) => [patient.id, g]))
  const number = new Map(visits.map((visit, v) => [visit.id, v]))
  const byGroup: Visit[][] = shift.patients.map(() => [])
  for (const visit of visits) byGroup[groupOf.get(visit.patient) as number]?.push(visit)
  const doses: number[] = []
  const doseFrom: number[] = [0]
  for (const list of byGroup) {
    for (const visit of doseOrder(list)) doses.push(number.get(visit.id) as number)
    doseFrom.push(doses.length)
  }
  const doseRank = new Int32Array(visits.length)
  doses.forEach((v, rank) => {
    doseRank[v] = rank
  })
  return {
    groups: shift.patients.length,
    group: Int32Array.from(visits, (visit) => groupOf.get(visit.patient) as number),
    gap: Int32Array.from(shift.patients, (patient) => patient.minGap),
    doses: Int32Array.from(doses),
    doseFrom: Int32Array.from(doseFrom),
    doseRank,
    seenBefore: seenTable(shift, standing, groupOf),
  }
}

function seenTable(shift: Shift, standing: Standing, groupOf: ReadonlyMap<string, number>): Int32Array {
  const routes = shift.therapists.length
  const patientOf = new Map(shift.visits.map((visit) => [visit.id, visit.patient]))
  const route = new Map(shift.therapists.map((therapist, k) => [therapist.id, k]))
  const seen = new Int32Array(shift.patients.length * routes)
  for (const item of fixedVisits(shift, standing)) {
    const g = groupOf.get(patientOf.get(item.visit) ?? '')
    if (g !== undefined) seen[g * routes + (route.get(item.therapist) as number)] = 1
  }
  return seen
}

/** Forbidden starts per visit: strictly between `from − duration` and `until`, overlapping times joined. */
function awayTables(standing: Standing, visits: readonly Visit[]) {
  const awayAt: number[] = [0]
  const awayFrom: number[] = []
  const awayUntil: number[] = []
  for (const visit of visits) {
    const times = standing.away
      .filter((away) => away.patient === visit.patient && away.until > away.from)
      .map((away) => ({ from: away.from - visit.duration, until: away.until }))
      .sort((a, b) => a.from - b.from)
    for (const time of times) {
      const lastIndex = awayFrom.length - 1
      const open = awayFrom.length > (awayAt[awayAt.length - 1] as number)
      if (open && time.from < (awayUntil[lastIndex] as number))
        awayUntil[lastIndex] = Math.max(awayUntil[lastIndex] as number, time.until)
      else {
        awayFrom.push(time.from)
        awayUntil.push(time.until)
      }
    }
    awayAt.push(awayFrom.length)
  }
  return {
    awayAt: Int32Array.from(awayAt),
    awayFrom: Int32Array.from(awayFrom),
    awayUntil: Int32Array.from(awayUntil),
  }
}

type Parts = ReturnType<typeof timeTables> &
  ReturnType<typeof crewTables> &
  ReturnType<typeof doseTables> &
  ReturnType<typeof awayTables> &
  ReturnType<typeof wayTables>

/** What leaving a pinned visit out would cost: more than any priority, so that it happens only when nothing else can. */
export const PINNED_DROP = 1_000_000

/** Doses already fixed release later doses and close earlier ones; pins narrow a visit to one therapist and start. */
function withPinnedAndFixed(shift: Shift, standing: Standing, visits: readonly Visit[], parts: Parts): Parts {
  const { early, last, allowed, drop } = parts
  const order = new Map(shift.patients.map((patient): [string, Visit[]] => [patient.id, []]))
  for (const visit of shift.visits) order.get(visit.patient)?.push(visit)
  for (const [patient, list] of order) order.set(patient, doseOrder(list))
  const fixedStart = new Map(fixedVisits(shift, standing).map((item) => [item.visit, item.start]))
  const routes = shift.therapists.length
  visits.forEach((visit, v) => {
    const doses = order.get(visit.patient) as Visit[]
    const place = doses.indexOf(visit)
    const gap = parts.gap[parts.group[v] as number] as number
    doses.forEach((dose, i) => {
      const start = fixedStart.get(dose.id)
      if (start === undefined) return
      if (i < place) early[v] = Math.max(early[v] as number, start + gap)
      else last[v] = Math.min(last[v] as number, start - gap)
    })
    const pin = standing.pins.find((item) => item.visit === visit.id)
    if (pin === undefined) return
    drop[v] = PINNED_DROP
    shift.therapists.forEach((therapist, k) => {
      if (therapist.id !== pin.therapist) allowed[v * routes + k] = 0
    })
    if (pin.start === undefined) return
    early[v] = Math.max(early[v] as number, pin.start)
    last[v] = Math.min(last[v] as number, pin.start)
  })
  return parts
}

/**
 * A therapist who runs over cannot be forbidden to go home or to eat: where the time is already past, the end of her
 * shift and the last start of her break move to the first minute she can reach.
 */
function withReachableEnds(flat: FlatProblem): FlatProblem {
  const last = flat.last.slice()
  for (let k = 0; k < flat.routes; k++) {
    const rest = flat.visits + k
    const start = flat.visits + flat.routes + k
    const end = flat.visits + 2 * flat.routes + k
    const from = flat.early[start] as number
    const way = (a: number, b: number) => flat.walk[a * flat.nodes + b] as number
    let home = from + way(start, end)
    if (flat.hasBreak[k] === 1) {
      const begin = Math.max(from + way(start, rest), flat.early[rest] as number)
      last[rest] = Math.max(last[rest] as number, begin)
      home = begin + (flat.duration[rest] as number) + way(rest, end)
    }
    last[end] = Math.max(last[end] as number, home)
  }
  return { ...flat, last }
}
