/**
 * An independent check: the compact arc-flow formulation of docs/rounds.md, written as LP text and solved by the HiGHS
 * solver. It shares nothing with the planner but the file format.
 */
import loadHighs from 'highs'

type Place = {
  readonly name: string
  readonly unit: number
  readonly patient: string | null
  readonly rank: number
  readonly stay: number
  readonly early: number
  readonly late: number
}

type File = {
  readonly units: readonly { readonly id: string }[]
  readonly travel: readonly (readonly number[])[]
  readonly roomChange: number
  readonly horizon: number
  readonly therapists: readonly {
    readonly start: { readonly unit: string; readonly time: number }
    readonly end: { readonly unit: string; readonly time: number }
    readonly break: {
      readonly unit: string
      readonly duration: number
      readonly earliest: number
      readonly latest: number
    }
    readonly skills: readonly string[]
  }[]
  readonly patients: readonly {
    readonly id: string
    readonly unit: string
    readonly isolation: string
    readonly minGap: number
  }[]
  readonly visits: readonly {
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
  }
}

const RANK: Readonly<Record<string, number>> = { protective: 0, none: 1, droplet: 2, contact: 2, airborne: 3 }

/** The optimum proved by HiGHS, or null if it was not proved within the seconds given. */
export async function provenByMilp(file: unknown, seconds: number): Promise<number | null> {
  const highs = await loadHighs()
  const answer = highs.solve(lpText(file as File), {
    time_limit: seconds,
    mip_rel_gap: 0,
    output_flag: false,
  })
  return answer.Status === 'Optimal' ? Math.round(answer.ObjectiveValue) : null
}

function lpText(file: File): string {
  const unit = (id: string) => file.units.findIndex((item) => item.id === id)
  const rows: string[] = []
  const objective: string[] = ['lam']
  const binaries: string[] = []
  const bounds: string[] = []
  const visits = file.visits.map((visit, v): Place => {
    const patient = file.patients.find((item) => item.id === visit.patient) as File['patients'][number]
    const rank = RANK[patient.isolation] as number
    return {
      name: `v${v}`,
      unit: unit(patient.unit),
      patient: patient.id,
      rank,
      stay: visit.duration,
      early: visit.earliest,
      late: visit.latest,
    }
  })
  const walk = (a: Place, b: Place): number => {
    if (a.unit !== b.unit) return file.travel[a.unit]?.[b.unit] as number
    return a.patient === null || b.patient === null || a.patient === b.patient ? 0 : file.roomChange
  }
  const covered: string[][] = visits.map(() => [])
  const timed = new Map<string, { readonly from: Place; readonly to: Place; readonly arcs: string[] }>()

  file.therapists.forEach((therapist, k) => {
    const base = (name: string, id: string, time: number): Place => ({
      name: `${name}${k}`,
      unit: unit(id),
      patient: null,
      rank: 0,
      stay: 0,
      early: time,
      late: time,
    })
    const start = base('s', therapist.start.unit, therapist.start.time)
    const end = { ...base('e', therapist.end.unit, therapist.end.time), early: 0 }
    const rest: Place = {
      ...base('b', therapist.break.unit, therapist.break.earliest),
      stay: therapist.break.duration,
      late: therapist.break.latest,
    }
    const own = visits.filter((_, v) => {
      const skill = file.visits[v]?.skill
      return skill === null || therapist.skills.includes(skill as string)
    })
    const stops = [...own, rest]
    const into = new Map<string, string[]>()
    const out = new Map<string, string[]>()
    const load: string[] = []
    for (const from of [start, ...stops])
      for (const to of [...stops, end]) {
        if (from === to || from.early + from.stay + walk(from, to) > to.late) continue
        const arc = `x_${k}_${from.name}_${to.name}`
        binaries.push(arc)
        into.set(to.name, [...(into.get(to.name) ?? []), arc])
        out.set(from.name, [...(out.get(from.name) ?? []), arc])
        const order = to.patient === null ? 0 : (file.weights.isolation[from.rank]?.[to.rank] as number)
        const points = walk(from, to) + order
        if (points > 0) objective.push(`${points} ${arc}`)
        const minutes = walk(from, to) + (to.patient === null ? 0 : to.stay)
        if (minutes > 0) load.push(`- ${minutes} ${arc}`)
        const pair = `${from.name}>${to.name}`
        const known = timed.get(pair)
        if (known === undefined) timed.set(pair, { from, to, arcs: [arc] })
        else known.arcs.push(arc)
      }
    const sum = (names: readonly string[] | undefined) => (names ?? ['zero']).join(' + ')
    rows.push(
      `${sum(out.get(start.name))} = 1`,
      `${sum(into.get(end.name))} = 1`,
      `${sum(into.get(rest.name))} = 1`,
    )
    for (const stop of stops)
      rows.push(`${sum(into.get(stop.name))} - ${(out.get(stop.name) ?? ['zero']).join(' - ')} = 0`)
    own.forEach((stop) => {
      covered[visits.indexOf(stop)]?.push(...(into.get(stop.name) ?? []))
    })
    rows.push(`lam ${load.join(' ')} >= 0`)
    bounds.push(`${rest.early} <= t_${rest.name} <= ${rest.late}`)
    for (const place of [start]) bounds.push(`t_${place.name} = ${place.early}`)
    bounds.push(`0 <= t_${end.name} <= ${end.late}`)
  })

  visits.forEach((place, v) => {
    const visit = file.visits[v] as File['visits'][number]
    rows.push(`y_${place.name} ${(covered[v] ?? []).map((arc) => `+ ${arc}`).join(' ')} = 1`)
    binaries.push(`y_${place.name}`)
    objective.push(`${file.weights.drop[visit.priority - 1]} y_${place.name}`)
    objective.push(`${file.weights.latePerMinute[visit.priority - 1]} late_${place.name}`)
    const big = Math.max(0, place.late - visit.onTimeUntil)
    rows.push(`late_${place.name} - t_${place.name} + ${big} y_${place.name} >= ${-visit.onTimeUntil}`)
    bounds.push(`${place.early} <= t_${place.name} <= ${place.late}`)
  })
  for (const { from, to, arcs } of timed.values()) {
    const reach = from.stay + walk(from, to)
    const big = Math.max(0, from.late + reach - to.early)
    rows.push(
      `t_${to.name} - t_${from.name} ${arcs.map((arc) => `- ${big} ${arc}`).join(' ')} >= ${reach - big}`,
    )
  }
  file.patients.forEach((patient, p) => {
    const doses = visits
      .map((place, v) => ({ place, due: file.visits[v]?.due as number }))
      .filter(({ place }) => place.patient === patient.id)
      .sort((a, b) => a.due - b.due)
    doses.forEach((later, i) => {
      for (const earlier of doses.slice(0, i)) {
        const big = earlier.place.late + patient.minGap - later.place.early
        rows.push(
          `t_${later.place.name} - t_${earlier.place.name} + ${big} y_${later.place.name} + ${big} y_${earlier.place.name} >= ${patient.minGap}`,
        )
      }
    })
    if (doses.length < 2) return
    objective.push(`${file.weights.handover} h_${p}`)
    rows.push(`h_${p} ${file.therapists.map((_, k) => `- z_${k}_${p}`).join(' ')} >= -1`)
    file.therapists.forEach((_, k) => {
      for (const { place } of doses) {
        const arcs = binaries.filter((name) => name.startsWith(`x_${k}_`) && name.endsWith(`_${place.name}`))
        if (arcs.length > 0) rows.push(`z_${k}_${p} ${arcs.map((arc) => `- ${arc}`).join(' ')} >= 0`)
      }
    })
  })
  bounds.push('zero = 0')
  const numbered = rows.map((row, i) => ` r${i}: ${row}`)
  return [
    'Minimize',
    ` cost: ${objective.join(' + ')}`,
    'Subject To',
    ...numbered,
    'Bounds',
    ...bounds.map((line) => ` ${line}`),
    'Binary',
    ...binaries.map((name) => ` ${name}`),
    'End',
  ].join('\n')
}
