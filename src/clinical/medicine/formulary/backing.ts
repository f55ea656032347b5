import { z } from 'zod'
import type { Source, Standing } from '../../worked.ts'

/** How well a group of statements stands. In a mixed group, each statement without a status of its own is sourced. */
export const Status = z.enum([
  'verified',
  'verified-secondary',
  'mixed',
  'computed',
  'weak secondary',
  'from memory',
  'common practice, no source',
  'design rule',
])
export type Status = z.infer<typeof Status>

export const Id = z.string().trim().min(1).max(80)
export const Words = z.string().trim().min(1).max(400)

/** What stands behind a group: its status and the keys of its sources. Spread into the group's own fields. */
export const backing = { status: Status, sources: z.array(Id) }
export type Backed = { readonly status: Status; readonly sources: readonly string[] }

/** From the best footing to the weakest. */
const RANK: readonly Standing[] = [
  'verified',
  'verified-secondary',
  'computed',
  'design rule',
  'common practice, no source',
  'from memory',
]
const BARE: Partial<Record<Status, Source>> = {
  'from memory': { key: 'memory', cite: 'Known to the authors and not looked up', standing: 'from memory' },
  'common practice, no source': {
    key: 'practice',
    cite: 'Rule of thumb',
    standing: 'common practice, no source',
  },
}

/** The sources behind a statement, none of them shown as standing better than the statement itself does. */
export function sourcesBehind(register: ReadonlyMap<string, Source>, { status, sources }: Backed): Source[] {
  const named = sources.flatMap((key) => register.get(key) ?? [])
  const standing = standingOf(status)
  const shown = named.map((source) => ({ ...source, standing: weaker(source.standing, standing) }))
  const bare = BARE[status]
  return shown.length === 0 && bare ? [bare] : shown
}

/** True when at least one source is more than memory or habit: only then may a finding stop a treatment. */
export function standsFirm(sources: readonly Source[]): boolean {
  return sources.some(({ standing }) => RANK.indexOf(standing) <= RANK.indexOf('design rule'))
}

/** A source as one line, with how well it stands. */
export function sourceLine({ cite, standing }: Source): string {
  return `${cite} (${standing})`
}

function standingOf(status: Status): Standing {
  if (status === 'mixed') return 'verified'
  return status === 'weak secondary' ? 'from memory' : status
}

function weaker(a: Standing, b: Standing): Standing {
  return RANK.indexOf(a) > RANK.indexOf(b) ? a : b
}
