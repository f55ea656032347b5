import type { FastifyInstance } from 'fastify'
import type { ZodTypeProvider } from 'fastify-type-provider-zod'
import { Pull, PullAnswer, PullPatients, PullPatientsAnswer } from '../../api/pull.ts'
import type { LedgerEntryTold } from '../../api/schemas.ts'
import type { Context } from '../context.ts'
import { Page } from '../page.ts'
import { ShiftScope } from '../shift-scope.ts'
import { stillCounting, undoneMessages } from '../still-counting.ts'
import { wholePatients } from '../whole-patients.ts'
import { hear, markAt, told } from './with-tablets.ts'

/** Entries looked at in one go, by what they are about, and in one request at most. Design rules. */
const LOOKED_AT_ONCE = 2000
const MOST_LOOKED = 40_000

type Entries = Extract<PullAnswer, { kind: 'entries' }>

/** What concerns the shift, to tablets: what is new of it, and patients whole. See `src/api/pull.ts` for the protocol. */
export function pullRoutes(scope: FastifyInstance, context: Context): void {
  const { ledger, facility, allow, note, nowMs } = context
  const app = scope.withTypeProvider<ZodTypeProvider>()
  const shift = new ShiftScope(context)

  app.post(
    '/api/pull',
    { schema: { body: Pull, response: { 200: PullAnswer } } },
    async (request): Promise<PullAnswer> => {
      const who = await allow(request, 'read chart')
      const asked = request.body
      const known = await markAt(context, asked.after > 0 ? asked.after : asked.from, asked.mark)
      await hear(context, who, asked)
      if (asked.after > 0) {
        // The set is found first: whoever comes into it while the entries are read makes it another set.
        const { hash, patients } = await shift.now()
        if (asked.scope !== hash)
          return { kind: 'scope', scope: hash, patients: [...patients], last: await ledger.last(facility) }
        const answer = await news(asked, known, new Set([...patients, ...asked.beside]))
        await noteRead(answer.entries, `${asked.after + 1} to ${answer.upTo}`)
        return answer
      }
      const answer = await beginning(asked.from, known)
      await noteRead(answer.entries, `${answer.entries[0]?.sequence} to ${answer.entries.at(-1)?.sequence}`)
      return answer

      /** The numbers among which the entries were, and the patients whom they were about. */
      async function noteRead(entries: readonly LedgerEntryTold[], numbers: string): Promise<void> {
        if (entries.length === 0) return
        const ids = patientsOf(entries)
        await note(request, who, 'read facts', ids.length === 0 ? numbers : `${numbers} of ${ids.join(' ')}`)
      }
    },
  )

  app.post(
    '/api/pull/patients',
    { schema: { body: PullPatients, response: { 200: PullPatientsAnswer } } },
    async (request) => {
      const who = await allow(request, 'read chart')
      const { ids } = request.body
      const upTo = await ledger.last(facility)
      const entries = (await wholePatients(ledger, facility, ids)).map(told)
      await hear(context, who, request.body)
      const found = patientsOf(entries)
      if (found.length > 0) await note(request, who, 'read patients', found.join(' '))
      return { entries, upTo }
    },
  )

  /** A page of what is about nobody and still counts. */
  async function beginning(from: number, known: string | null): Promise<Entries> {
    const last = await ledger.last(facility)
    const numbers = (await stillCounting(ledger, facility, nowMs())).filter(
      (number) => number > from && number <= last,
    )
    const page = new Page(ledger, facility)
    const more = (await page.take(numbers)) !== null
    return {
      kind: 'entries',
      entries: page.entries.map(told),
      upTo: more ? 0 : last,
      mark: more ? (page.entries.at(-1)?.hash ?? known) : await ledger.hashAt(facility, last),
      last,
      more,
    }
  }

  /** A page of what came after a number and concerns a tablet that holds these patients. */
  async function news({ after }: Pull, known: string | null, held: ReadonlySet<string>): Promise<Entries> {
    const page = new Page(ledger, facility)
    let upTo = after
    for (let looked = 0; looked < MOST_LOOKED; looked += LOOKED_AT_ONCE) {
      const heads = await ledger.headsAfter(facility, upTo, LOOKED_AT_ONCE)
      const messages = heads.filter(
        ({ kind, patientId }) => patientId === null && kind === 'message-received',
      )
      const undone = await undoneMessages(
        ledger,
        facility,
        messages.map(({ sequence }) => sequence),
      )
      const wanted = heads.filter(({ sequence, kind, patientId }) =>
        patientId !== null ? held.has(patientId) : kind !== 'message-received' || undone.has(sequence),
      )
      const tooMany = await page.take(wanted.map(({ sequence }) => sequence))
      upTo = tooMany === null ? (heads.at(-1)?.sequence ?? upTo) : tooMany - 1
      if (tooMany !== null || heads.length < LOOKED_AT_ONCE) break
    }
    const last = await ledger.last(facility)
    return {
      kind: 'entries',
      entries: page.entries.map(told),
      upTo,
      mark: upTo === after ? known : await ledger.hashAt(facility, upTo),
      last,
      more: upTo < last,
    }
  }
}

function patientsOf(entries: readonly LedgerEntryTold[]): string[] {
  return [...new Set(entries.flatMap(({ fact }) => fact.about.patientId ?? []))].sort()
}
