import { describe, expect, it } from 'vitest'
import type { FactEnvelope } from './fact.ts'
import { KINDS, readFact } from './registry.ts'
import corpus from './test-data/older-facts.json' with { type: 'json' }

const FACTS = corpus.facts as unknown as FactEnvelope[]
const versionOf = new Map<string, number>(KINDS.map(({ kind, version }) => [kind, version]))
const named = (kind: string, version: number) => `${kind} ${version}`
const kept = new Set(FACTS.map(({ kind, version }) => named(kind, version)))

/** Kinds and versions that must be among the facts that are kept, given what the program calls the present version. */
function missing(kinds: readonly { readonly kind: string; readonly version: number }[]): string[] {
  return kinds
    .filter(({ version }) => version > 1)
    .flatMap(({ kind, version }) => Array.from({ length: version }, (_, at) => named(kind, at + 1)))
    .filter((each) => !kept.has(each))
}

describe('facts written by earlier versions of the program', () => {
  it('are kept for every version of every kind that has more than one', () => {
    expect(missing(KINDS)).toEqual([])
  })
  it('are missed when a kind gets a new version and none of it is kept', () => {
    const raised = KINDS.map(({ kind, version }) => ({ kind, version: kind === 'prepared' ? 2 : version }))
    expect(missing(raised)).toEqual(['prepared 2'])
  })
  it('are lifted by a step from each version to the next, and by no other', () => {
    for (const { kind, version, upcasts } of KINDS as readonly {
      kind: string
      version: number
      upcasts?: object
    }[]) {
      const steps = Object.keys(upcasts ?? {}).map(Number)
      expect([kind, steps]).toEqual([kind, Array.from({ length: version - 1 }, (_, at) => at + 1)])
    }
  })
  it.each(FACTS.map((fact) => [`${fact.kind} ${fact.version} ${fact.id}`, fact] as const))(
    '%s is read as of the present version, with nothing of it lost',
    (_name, fact) => {
      const read = readFact(fact)
      // No step has changed a body so far: each version only knows more words than the one before.
      if (!read.ok) throw new Error(JSON.stringify(read.problems))
      expect(read.fact).toEqual({ ...fact, version: versionOf.get(fact.kind), body: fact.body })
    },
  )
  it('of a version that is still to come are refused by name, not guessed', () => {
    const fact = { ...FACTS[0], version: 99 }
    expect(readFact(fact)).toMatchObject({ ok: false, problems: [{ where: 'version' }] })
  })
})
