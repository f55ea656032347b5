/**
 * Prices a plan of a `hospital-shift-1` file in the plainest way: times by repeated passes until nothing changes, every
 * rule checked by its own words, every part of the objective summed on its own. It shares no code with the planner.
 */

type Json = {
  readonly units: readonly { readonly id: string }[]
  readonly travel: readonly (readonly number[])[]
  readonly roomChange: number
  readonly therapists: readonly {
    readonly id: string
    readonly start: { readonly unit: string; readonly time: number }
    readonly end: { readonly unit: string; readonly time: number }
    readonly break: {
      readonly unit: string
      readonly duration: number
      readonly earliest: number
      readonly latest: number
    } | null
    readonly skills: readonly string[]
  }[]
  readonly patients: readonly {
    readonly id: string
    readonly unit: string
    readonly isolation: string
    readonly minGap: number
  }[]
  readonly visits: readonly {
    readonly id: string
    readonly patient: string
    readonly priority: number
    readonly skill: string | null
    readonly due: number
    readonly earliest: number
    readonly onTimeUntil: number
    readonly latest: number
    readonly duration: number
  }[]
  readonly weights: {
    readonly drop: readonly number[]
    readonly latePerMinute: readonly number[]
    readonly isolation: readonly (readonly number[])[]
    readonly handover: number
    readonly walk: number
    readonly maxLoad: number
    readonly reassign: number
    readonly postponePerMinute: number
    readonly promiseTolerance: number
  }
  readonly previousPlan:
    | readonly { readonly visit: string; readonly therapist: string; readonly start: number }[]
    | null
}

export type PlainPrice = {
  readonly broken: readonly string[]
  readonly starts: ReadonlyMap<string, number>
  readonly total: number
  readonly parts: Readonly<Record<string, number>>
}

const RANK: Readonly<Record<string, number>> = { protective: 0, none: 1, droplet: 2, contact: 2, airborne: 3 }

export function pricePlainly(file: unknown, routes: readonly (readonly string[])[]): PlainPrice {
  const shift = file as Json
  const visit = (id: string) => shift.visits.find((item) => item.id === id) as Json['visits'][number]
  const patient = (id: string) =>
    shift.patients.find((item) => item.id === visit(id).patient) as Json['patients'][number]
  const unit = (id: string) => shift.units.findIndex((item) => item.id === id)
  const given = routes.flat().filter((id) => id !== 'break')
  const broken: string[] = []
  if (new Set(given).size !== given.length) broken.push('a visit is given twice')

  const walk = (
    fromUnit: string,
    fromPatient: string | null,
    toUnit: string,
    toPatient: string | null,
  ): number => {
    if (fromUnit !== toUnit) return shift.travel[unit(fromUnit)]?.[unit(toUnit)] as number
    if (fromPatient === null || toPatient === null || fromPatient === toPatient) return 0
    return shift.roomChange
  }

  const doseBefore = (id: string): string | null => {
    const order = (a: string) => shift.visits.findIndex((item) => item.id === a)
    const earlier = given.filter((other) => {
      if (other === id || visit(other).patient !== visit(id).patient) return false
      return (
        visit(other).due < visit(id).due || (visit(other).due === visit(id).due && order(other) < order(id))
      )
    })
    earlier.sort((a, b) => visit(a).due - visit(b).due || order(a) - order(b))
    return earlier.at(-1) ?? null
  }

  const starts = new Map<string, number>()
  let loads: number[] = []
  let walked = 0
  let isolation = 0
  let home: number[] = []
  const pass = (): boolean => {
    let changed = false
    loads = []
    home = []
    walked = 0
    isolation = 0
    shift.therapists.forEach((therapist, k) => {
      let time = therapist.start.time
      let at = { unit: therapist.start.unit, patient: null as string | null }
      let rank = 0
      let load = 0
      const go = (to: { unit: string; patient: string | null }) => {
        const minutes = walk(at.unit, at.patient, to.unit, to.patient)
        walked += minutes
        load += minutes
        time += minutes
        at = to
      }
      for (const stop of routes[k] ?? []) {
        if (stop === 'break') {
          if (therapist.break === null) continue
          go({ unit: therapist.break.unit, patient: null })
          time = Math.max(time, therapist.break.earliest)
          const key = `break of ${therapist.id}`
          if (starts.get(key) !== time) changed = true
          starts.set(key, time)
          time += therapist.break.duration
          rank = 0
          continue
        }
        go({ unit: patient(stop).unit, patient: patient(stop).id })
        time = Math.max(time, visit(stop).earliest)
        const before = doseBefore(stop)
        if (before !== null) time = Math.max(time, (starts.get(before) ?? 0) + patient(stop).minGap)
        if (starts.get(stop) !== time) changed = true
        starts.set(stop, time)
        time += visit(stop).duration
        load += visit(stop).duration
        const next = RANK[patient(stop).isolation] as number
        isolation += shift.weights.isolation[rank]?.[next] as number
        rank = next
      }
      go({ unit: therapist.end.unit, patient: null })
      loads.push(load)
      home.push(time)
    })
    return changed
  }
  let passes = 0
  while (pass())
    if (++passes > 1000) return { broken: ['a circle of gaps'], starts, total: Number.NaN, parts: {} }

  shift.therapists.forEach((therapist, k) => {
    if ((home[k] as number) > therapist.end.time) broken.push(`${therapist.id} is home too late`)
    const rests = (routes[k] ?? []).filter((stop) => stop === 'break').length
    if (rests !== (therapist.break === null ? 0 : 1)) broken.push(`${therapist.id} has ${rests} breaks`)
    const rest = starts.get(`break of ${therapist.id}`)
    if (rest !== undefined && rest > (therapist.break?.latest as number))
      broken.push(`${therapist.id} eats too late`)
    for (const stop of routes[k] ?? []) {
      if (stop === 'break') continue
      if ((starts.get(stop) as number) > visit(stop).latest) broken.push(`${stop} starts too late`)
      const skill = visit(stop).skill
      if (skill !== null && !therapist.skills.includes(skill))
        broken.push(`${therapist.id} may not give ${stop}`)
    }
  })

  const weight = shift.weights
  const byPriority = (list: readonly number[], id: string) => list[visit(id).priority - 1] as number
  const sum = (values: readonly number[]) => values.reduce((total, value) => total + value, 0)
  const seenBy = (id: string) =>
    routes.filter((stops) => stops.some((stop) => stop !== 'break' && visit(stop).patient === id)).length
  const promised = new Map((shift.previousPlan ?? []).map((item) => [item.visit, item]))
  const holder = (id: string) => shift.therapists[routes.findIndex((stops) => stops.includes(id))]?.id
  const parts = {
    drop: sum(shift.visits.filter((v) => !given.includes(v.id)).map((v) => byPriority(weight.drop, v.id))),
    late: sum(
      given.map(
        (id) =>
          byPriority(weight.latePerMinute, id) *
          Math.max(0, (starts.get(id) as number) - visit(id).onTimeUntil),
      ),
    ),
    isolation,
    handover: weight.handover * sum(shift.patients.map((item) => Math.max(0, seenBy(item.id) - 1))),
    walk: weight.walk * walked,
    maxLoad: weight.maxLoad * Math.max(0, ...loads),
    reassign:
      weight.reassign *
      given.filter((id) => promised.has(id) && promised.get(id)?.therapist !== holder(id)).length,
    postpone:
      weight.postponePerMinute *
      sum(
        given.map((id) => {
          const promise = promised.get(id)
          return promise === undefined
            ? 0
            : Math.max(0, (starts.get(id) as number) - promise.start - weight.promiseTolerance)
        }),
      ),
  }
  return { broken, starts, total: sum(Object.values(parts)), parts }
}
