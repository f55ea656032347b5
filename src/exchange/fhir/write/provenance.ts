import type { AnyFact } from '../../../chart/registry.ts'
import { EXTENSION, OURS, SYSTEM } from '../codes.ts'
import type { Provenance, Reference } from '../resources.ts'
import type { Treatment } from './administration.ts'
import { coded, fhirId, personReference, reference, type WriteContext } from './basics.ts'

/** Kinds of signature. ASTM E1762-95, as listed in HL7 FHIR R4 4.0.1, code system signature-type. */
const SIGNATURE = {
  author: { code: '1.2.840.10065.1.12.1.1', display: "Author's Signature" },
  second: { code: '1.2.840.10065.1.12.1.2', display: "Coauthor's Signature" },
  change: { code: '1.2.840.10065.1.12.1.16', display: 'Modification Signature' },
} as const

type Signing = {
  readonly activity: 'CREATE' | 'UPDATE' | 'APPEND' | 'NULLIFY'
  readonly meaning: string
  readonly reason: string | null
  readonly agent: 'author' | 'attester'
  readonly name: string | undefined
  readonly signature: { readonly kind: keyof typeof SIGNATURE; readonly hash: string } | null
}

/** Every signature, second signature, correction and strike of a treatment: who, when, and what it meant. */
export function writeProvenance(
  context: WriteContext,
  treatment: Treatment,
  targets: readonly Reference[],
): Provenance[] {
  const target = targets.length > 0 ? targets : [reference('Patient', treatment.order.patientId)]
  return treatment.facts.flatMap((fact) => {
    const signing = signingOf(fact)
    return signing ? [written(context, fact, signing, target)] : []
  })
}

function signingOf(fact: AnyFact): Signing | null {
  switch (fact.kind) {
    case 'note-signed': {
      const { meaning, printedName: name, contentHash: hash } = fact.body
      const signature = { kind: 'author', hash } as const
      return {
        activity: 'CREATE',
        meaning: `signed: ${meaning}`,
        reason: null,
        agent: 'author',
        name,
        signature,
      }
    }
    case 'note-cosigned': {
      const { printedName: name, contentHash: hash, note } = fact.body
      const signature = { kind: 'second', hash } as const
      return {
        activity: 'APPEND',
        meaning: 'co-signed',
        reason: note || null,
        agent: 'attester',
        name,
        signature,
      }
    }
    case 'note-corrected': {
      const { printedName: name, contentHash: hash, reason } = fact.body
      const signature = { kind: 'change', hash } as const
      return { activity: 'UPDATE', meaning: 'corrected the note', reason, agent: 'author', name, signature }
    }
    case 'entry-struck':
      return {
        activity: 'NULLIFY',
        meaning: 'struck an entry',
        reason: fact.body.reason,
        agent: 'author',
        name: undefined,
        signature: null,
      }
    default:
      return null
  }
}

function written(
  context: WriteContext,
  fact: AnyFact,
  { activity, meaning, reason, agent, name, signature }: Signing,
  target: readonly Reference[],
): Provenance {
  const who = personReference(context, fact.by.personId, name)
  return {
    resourceType: 'Provenance',
    id: fhirId(fact.id),
    meta: { lastUpdated: fact.recordedAt },
    target,
    occurredDateTime: fact.happenedAt,
    recorded: fact.recordedAt,
    ...(reason !== null && { reason: [{ text: reason }] }),
    activity: { coding: [{ system: SYSTEM.dataOperation, code: activity }], text: meaning },
    agent: [{ type: coded(SYSTEM.provenanceAgent, agent), who }],
    ...(signature && {
      signature: [
        {
          extension: [{ url: EXTENSION.contentHash, valueString: signature.hash }],
          type: [
            { system: SYSTEM.signatureType, ...SIGNATURE[signature.kind] },
            {
              system: OURS.visit,
              code: meaning.replace('signed: ', '').replaceAll(' ', '-'),
              display: meaning,
            },
          ],
          when: fact.recordedAt,
          who,
        },
      ],
    }),
  }
}
