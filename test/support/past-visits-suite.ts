import { beforeEach, describe, expect, it, vi } from 'vitest'
import { readRuns, readStays } from '../../src/api/past-told.ts'
import { Learned } from '../../src/api/schemas.ts'
import { documentsInForce } from '../../src/chart/documents/documents-in-force.ts'
import { PLANNING_POLICY } from '../../src/chart/documents/planning-policy.ts'
import { Chart } from '../../src/chart/folds/chart.ts'
import { chartedRuns } from '../../src/chart/folds/charted-runs.ts'
import type { AnyFact } from '../../src/chart/registry.ts'
import { seedDemo } from '../../src/demo/seed.ts'
import { PastVisits } from '../../src/server/past-visits.ts'
import { learningInstant, learnTimes } from '../../src/shift/index.ts'
import { openDatabase } from '../../src/store/database.ts'
import { Ledger } from '../../src/store/ledger.ts'
import { migrate } from '../../src/store/steps.ts'
import { DEMO_NOW, reviewingDoor } from './demo-chart.ts'
import { TestWriter } from './facts.ts'
import { Ward } from './shift-ward.ts'

const HERE = 'larkmere'
const MINUTE_MS = 60_000
const START_MS = Date.parse('2026-03-11T12:00:00.000Z')

/** What a server tells of past visits, whichever database it stands on. */
export function pastVisitsSuite(name: string, newAddress: () => Promise<string>): void {
  describe(`past visits counted from ${name}`, () => {
    let ledger: Ledger
    let nowMs = START_MS
    const faults: unknown[] = []
    beforeEach(async () => {
      nowMs = START_MS
      faults.length = 0
      const open = openDatabase(await newAddress())
      await migrate(open.db, open.kind, '2026-03-01T12:00:00.000Z')
      ledger = new Ledger(open)
      return () => ledger.close()
    })

    const server = (facility = HERE) =>
      new PastVisits({ ledger, facility, nowMs: () => nowMs, failed: (error) => faults.push(error) })
    const store = (facts: readonly AnyFact[], receivedAt = new Date(nowMs).toISOString(), facility = HERE) =>
      ledger.append(facility, { facts, receivedAt, deviceAheadMs: null })

    /** Waits until a count that began just now is told; the clock stands meanwhile. */
    async function counted(past: PastVisits) {
      const at = new Date(nowMs).toISOString()
      past.ask()
      return vi.waitFor(
        () => {
          const { past: told } = Learned.parse(past.ask())
          if (told?.countedAt !== at) throw new Error('still being counted')
          return told
        },
        { timeout: 20_000, interval: 10 },
      )
    }

    /** So many visits of one patient, from an instant on, one an hour; they sign with `seed` of their own. */
    function visits(patientId: string, from: string, many: number, run = 10, seed = 1): AnyFact[] {
      const ward = new Ward(seed).patient(patientId, '4WEST').order(`o-${patientId}`, patientId)
      for (let at = 0; at < many; at += 1) {
        const openedAt = new Date(Date.parse(from) + at * 3_600_000).toISOString()
        const about = { patientId, orderId: `o-${patientId}`, visitId: `v-${seed}-${at}` }
        ward.visit(about, openedAt, 'amsel', openedAt, {
          startedAfter: 6,
          endedAfter: 6 + run,
          signedAfter: 20 + run,
        })
      }
      return ward.facts
    }

    it('teach a tablet that holds nothing what the whole record teaches, and say of nobody who they are', async () => {
      const facility = 'marrowby'
      nowMs = Date.parse(DEMO_NOW)
      const facts: AnyFact[] = []
      await seedDemo({
        ledger: {
          append: async (_facility, incoming) => {
            facts.push(...incoming.facts)
            await ledger.append(facility, incoming)
          },
        },
        people: { add: async () => undefined },
        facility,
        nowMs,
        doorAt: (clock, randomBytes) => reviewingDoor(facility, clock, randomBytes),
      })
      const whole = new Chart().add(facts)
      const { documents } = documentsInForce(facts, DEMO_NOW)
      const told = await counted(server(facility))

      const until = learningInstant(DEMO_NOW)
      const times = learnTimes(whole, documents, until)
      expect(times.counted).toBeGreaterThan(20)
      expect(learnTimes(new Chart(), documents, until, readStays(told))).toEqual(times)
      const cups = new Set(readRuns(told).map(({ cupId }) => cupId))
      expect(cups.size).toBeGreaterThan(1)
      for (const cup of cups) {
        const runs = chartedRuns(whole.visits(), cup, DEMO_NOW)
        expect(runs.runs.length).toBeGreaterThan(0)
        expect(chartedRuns([], cup, DEMO_NOW, readRuns(told))).toEqual(runs)
      }

      const reply = JSON.stringify(told)
      const who = whole.patients().flatMap((patient) => {
        const {
          patientId,
          mrn,
          family,
          given,
          dob,
          orderIds = [],
        } = { orderIds: ordersOf(whole, patient), ...patient }
        return [patientId, mrn, family, given, dob, ...orderIds]
      })
      const people = whole.staff().flatMap(({ personId, name }) => [personId, name])
      const said = [...who, ...people].filter(
        (each): each is string => typeof each === 'string' && each !== '',
      )
      expect(said.length).toBeGreaterThan(200)
      // Whole words: an id in hexadecimal may hold a short name by chance.
      expect(said.filter((each) => wordOf(each).test(reply))).toEqual([])
      expect(reply).not.toMatch(/[^\x20-\x7e]/)
    })

    it('are still being counted at first, and counted again after some minutes only, for whom something came in', async () => {
      await store(visits('p1', '2026-03-10T00:00:00.000Z', 3))
      await store(visits('p2', '2026-03-10T00:30:00.000Z', 2, 10, 2))
      const past = server()
      expect(past.ask()).toEqual({ past: null })
      expect((await counted(past)).stays).toHaveLength(5)

      await store(visits('p3', '2026-03-10T06:00:00.000Z', 1, 10, 3))
      const [read, touched] = [vi.spyOn(ledger, 'aboutAny'), vi.spyOn(ledger, 'patientsTouched')]
      nowMs += 4 * MINUTE_MS
      past.ask()
      await new Promise((resolve) => setTimeout(resolve, 60))
      expect(read).not.toHaveBeenCalled()
      nowMs += 2 * MINUTE_MS
      expect((await counted(past)).stays).toHaveLength(6)
      expect(read.mock.calls.map(([, , ids]) => ids)).toEqual([['p3']])
      expect(touched).not.toHaveBeenCalled()
      expect(faults).toEqual([])
    })

    it('follow what is corrected, and count anew under another planning policy', async () => {
      const facts = visits('p1', '2026-03-01T12:00:00.000Z', 3)
      await store(facts)
      const past = server()
      expect((await counted(past)).runs.map(([, , , runMs]) => runMs)).toEqual([600_000, 600_000, 600_000])

      const ended = facts.find(({ kind, about }) => kind === 'treatment-ended' && about.visitId === 'v-1-1')
      if (ended?.kind !== 'treatment-ended') throw new Error('it was ended')
      const hand = new TestWriter('2026-03-02T12:00:00.000Z', 50)
      const happenedAt = new Date(Date.parse(ended.happenedAt) - 4 * MINUTE_MS).toISOString()
      await store([
        hand.write('treatment-ended', ended.about, ended.body, { happenedAt, corrects: ended.id }),
      ])
      nowMs += 6 * MINUTE_MS
      expect((await counted(past)).runs.map(([, , , runMs]) => runMs)).toEqual([600_000, 360_000, 600_000])

      const content = {
        ...PLANNING_POLICY.defaults,
        learning: { ...PLANNING_POLICY.defaults.learning, fromDays: 2 },
      }
      const lead = new TestWriter(new Date(nowMs).toISOString(), 51, { personId: 'falk', role: 'lead' })
      const adopted = lead.write(
        'document-adopted',
        { document: 'planning-policy' },
        { edition: '2', approvedBy: 'Dr. A', note: '', content },
      )
      await store([adopted])
      nowMs += 6 * MINUTE_MS
      const after = await counted(past)
      expect([after.stays.length, after.runs.length]).toEqual([0, 3])
    })

    it('tell the newest three hundred runs of a cup and nothing older than a year', async () => {
      await store(visits('old', '2025-03-10T00:00:00.000Z', 5, 25, 5), '2025-03-11T00:00:00.000Z')
      await store(visits('back', '2025-03-01T00:00:00.000Z', 4, 25, 6))
      const fromMs = Date.parse('2026-02-20T00:00:00.000Z')
      const many = Array.from({ length: 410 }, (_, at) =>
        visits(`p${at}`, new Date(fromMs + at * 3_600_000).toISOString(), 1, 10, 100 + at),
      )
      await store(many.flat())
      const told = await counted(server())
      // The first hundred and ten of them are older than the newest three hundred.
      const newest = Array.from({ length: 300 }, (_, at) => `v-${100 + 110 + at}-0`)
      expect(told.runs.map(([id]) => id)).toEqual(newest)
      expect(told.stays).toHaveLength(410)
    })

    it('stay as they were counted when the database fails, and are counted again later', async () => {
      await store(visits('p1', '2026-03-10T00:00:00.000Z', 3))
      const past = server()
      const first = await counted(past)
      await store(visits('p2', '2026-03-10T00:30:00.000Z', 2, 10, 2))
      const failing = vi.spyOn(ledger, 'aboutAny').mockRejectedValue(new Error('the database is away'))
      nowMs += 6 * MINUTE_MS
      past.ask()
      await vi.waitFor(() => expect(faults).toHaveLength(1))
      expect(past.ask()).toEqual({ past: first })
      failing.mockRestore()
      nowMs += 6 * MINUTE_MS
      expect((await counted(past)).stays).toHaveLength(5)
    })

    it('end with the server, whatever is still to be counted', async () => {
      for (let at = 0; at < 20; at += 1)
        await store(visits(`p${at}`, '2026-03-10T00:00:00.000Z', 1, 10, 10 + at))
      const past = server()
      const read = vi.spyOn(ledger, 'aboutAny')
      past.ask()
      await past.close()
      expect(read.mock.calls.length).toBeLessThan(20)
      nowMs += 6 * MINUTE_MS
      expect(past.ask()).toEqual({ past: null })
      expect(faults).toEqual([])
    })
  })
}

function wordOf(text: string): RegExp {
  return new RegExp(`\\b${text.replace(/[^\w ]/g, '\\$&')}\\b`, 'i')
}

function ordersOf(chart: Chart, { patientId }: { readonly patientId: string }): string[] {
  return chart.ordersOf(patientId).map(({ orderId }) => orderId)
}
