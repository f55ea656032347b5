import 'fake-indexeddb/auto'
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { FakeLedger } from '../../../test/support/fake-ledger.ts'
import { Chart } from '../../chart/folds/chart.ts'
import { uuidv7 } from '../../chart/ids.ts'
import { type AnyFact, writeFact } from '../../chart/registry.ts'
import { Keep } from './keep.ts'
import { Puller } from './puller.ts'
import { Safe } from './safe.ts'

const HOUR_MS = 3_600_000
let made = 0

/** What is written of a patient; of nobody where there is none. */
function fact(personId: string, patientId: string | null, nowMs: number): AnyFact {
  made += 1
  const by = { personId, role: 'therapist' as const }
  const bytes = (length: number) => new Uint8Array(length).map((_, at) => (made >> (8 * (at % 4))) & 255)
  const newId = () => uuidv7({ nowMs: () => nowMs, randomBytes: bytes })
  const writer = { facility: 'f', by, device: 'd', newId, nowMs: () => nowMs }
  return patientId === null
    ? writeFact(writer, 'item-settled', {}, { item: 'x', how: 'answered', note: 'done' })
    : writeFact(writer, 'patient-back', { patientId }, {})
}

/** A browser of one person: windows that share a disk, may be closed at any moment, and be opened again. */
class Browser {
  readonly #server: FakeLedger
  readonly #safe: Safe
  readonly personId: string
  nowMs = 1_800_000_000_000
  constructor(server: FakeLedger, safe: Safe) {
    made += 1
    this.#server = server
    this.#safe = safe
    this.personId = `person-${made}`
  }

  #beside(): Keep {
    return new Keep('f', this.personId, this.#safe, () => this.nowMs)
  }

  async window() {
    const keep = this.#beside()
    const chart = new Chart()
    const { facts, cursor, mark } = await keep.load()
    const lacking: number[] = []
    chart.add(facts)
    const puller = new Puller(
      { api: this.#server.api(), keep, device: 'tablet-1' },
      {
        taken: (taken) => void chart.add(taken),
        forgotten: (patientIds) => void chart.forget(patientIds),
        lacking: (patients) => void lacking.push(patients),
      },
    )
    const at = { cursor, mark }
    return {
      keep,
      chart,
      lacking,
      puller,
      /** One pull, as the engine would do it. */
      pull: async () => {
        const pulled = await puller.pull(at.cursor, at.mark, 0)
        if (pulled.kind === 'pulled') Object.assign(at, { cursor: pulled.cursor, mark: pulled.mark })
        else if (pulled.kind === 'said no' && pulled.reply.kind === 'said no') {
          await keep.beginAnew()
          Object.assign(at, { cursor: 0, mark: null })
        }
        return pulled.kind === 'pulled' && !pulled.more
      },
      write: async (patientId: string | null) => {
        const written = fact(this.personId, patientId, this.nowMs)
        await keep.write([written])
        chart.add([written])
        return written
      },
      send: async () => {
        // What a window loads counts as in its memory: this looks at the disk from beside it.
        const { waiting } = await this.#beside().load()
        const results = (await keep.waiting(waiting)).map((each) => this.#server.store(each as AnyFact))
        await keep.settle(results)
      },
    }
  }
}
type Window = Awaited<ReturnType<Browser['window']>>

const idsOf = (chart: Chart) => [...chart.facts()].map(({ id }) => id).toSorted()
const untilQuiet = async (window: Window) => {
  for (let turn = 0; turn < 60; turn += 1) if (await window.pull()) return
  throw new Error('the pull found no end')
}
const newBrowser = async () => {
  const server = new FakeLedger()
  return { server, browser: new Browser(server, await Safe.ofThisPage()) }
}

describe('a tablet takes over what concerns the shift', () => {
  it('and nothing of anybody else, in pages, from nothing on', async () => {
    const { server, browser } = await newBrowser()
    for (let turn = 0; turn < 12; turn += 1)
      for (const patientId of [null, 'here', 'elsewhere'])
        server.store(fact('other', patientId, browser.nowMs))
    server.scope.add('here')
    const window = await browser.window()
    await untilQuiet(window)
    expect(idsOf(window.chart)).toEqual(server.concerning().toSorted())
    expect(idsOf(window.chart)).toHaveLength(24)
    expect(window.chart.factsAbout('patient', 'elsewhere')).toEqual([])
  })

  it('fetches who comes onto the shift whole, and lets go of who leaves it', async () => {
    const { server, browser } = await newBrowser()
    server.scope.add('stays')
    for (const id of ['stays', 'comes', 'comes']) server.store(fact('other', id, browser.nowMs))
    const window = await browser.window()
    await untilQuiet(window)
    server.scope.add('comes')
    await untilQuiet(window)
    expect(window.chart.factsAbout('patient', 'comes')).toHaveLength(2)
    server.scope.delete('comes')
    await untilQuiet(window)
    expect(window.chart.factsAbout('patient', 'comes')).toEqual([])
    expect((await window.keep.load()).facts.map(({ about }) => about.patientId)).toEqual(['stays'])
  })

  it('says how many are still to come, and that nobody is, in a window beside the one that fetched them too', async () => {
    const { server, browser } = await newBrowser()
    const nothing = await browser.window()
    await untilQuiet(nothing)
    expect(nothing.lacking).toEqual([0])
    const ids = Array.from({ length: 23 }, (_, at) => `p${at}`)
    for (const id of ids) server.scope.add(id)
    for (const id of ids) server.store(fact('other', id, browser.nowMs))
    const [one, beside] = [await browser.window(), await browser.window()]
    await untilQuiet(one)
    expect(one.lacking.slice(0, 4)).toEqual([23, 13, 3, 0])
    await untilQuiet(beside)
    expect(new Set(beside.lacking)).toEqual(new Set([0]))
    expect(idsOf(beside.chart)).toEqual(idsOf(one.chart))
  })

  it('keeps of whom this person wrote for 72 h, goes on hearing of them, and then lets go', async () => {
    const { server, browser } = await newBrowser()
    server.scope.add('mine')
    server.store(fact('other', 'mine', browser.nowMs))
    const window = await browser.window()
    await untilQuiet(window)
    await window.write('mine')
    await window.send()
    server.scope.delete('mine')
    await untilQuiet(window)
    server.store(fact('other', 'mine', browser.nowMs))
    await untilQuiet(window)
    expect(window.chart.factsAbout('patient', 'mine')).toHaveLength(3)
    // Only a change of the set asks the tablet to look again.
    browser.nowMs += 71 * HOUR_MS
    server.scope.add('other')
    await untilQuiet(window)
    expect(window.chart.factsAbout('patient', 'mine')).toHaveLength(3)
    browser.nowMs += HOUR_MS
    server.scope.delete('other')
    await untilQuiet(window)
    expect(window.chart.factsAbout('patient', 'mine')).toEqual([])
  })

  it('never lets go of what was not sent, or was refused', async () => {
    const { server, browser } = await newBrowser()
    server.scope.add('mine')
    const window = await browser.window()
    await window.write(null)
    await window.send()
    await untilQuiet(window)
    const [unsent, refused] = [await window.write('unsent'), await window.write('refused')]
    server.refuses.add(refused.id)
    await window.keep.settle([server.store(refused)])
    browser.nowMs += 100 * HOUR_MS
    server.scope.add('other')
    await untilQuiet(window)
    const kept = await window.keep.load()
    expect(kept.facts.map(({ id }) => id)).toEqual(expect.arrayContaining([unsent.id, refused.id]))
    expect(kept.waiting).toEqual([unsent.id])
    expect(kept.refused.map(({ id }) => id)).toEqual([refused.id])
  })

  it('fetches somebody who is asked for, hears of them, and lets go when the shift is over', async () => {
    const { server, browser } = await newBrowser()
    for (const id of ['asked', 'asked', 'not']) server.store(fact('other', id, browser.nowMs))
    const window = await browser.window()
    await untilQuiet(window)
    expect(await window.puller.bring('asked', 0)).toBeNull()
    await window.keep.stay('asked')
    server.store(fact('other', 'asked', browser.nowMs))
    await untilQuiet(window)
    expect(window.chart.factsAbout('patient', 'asked')).toHaveLength(3)
    browser.nowMs += 13 * HOUR_MS
    server.scope.add('new')
    await untilQuiet(window)
    expect(idsOf(window.chart)).toEqual([])
  })

  it('notices a ledger brought back from an older copy between two pages of its first beginning, and lacks nothing', async () => {
    const { server, browser } = await newBrowser()
    const write = (count: number) => {
      for (let made = 0; made < count; made += 1) server.store(fact('other', null, browser.nowMs))
    }
    write(8)
    const window = await browser.window()
    let questions = 0
    server.onQuestion = () => {
      questions += 1
      if (questions !== 2) return
      // The first three are taken over; by now the ledger has others in place of two of them, and is longer than before.
      server.bringBack(1)
      write(9)
    }
    expect(await window.pull()).toBe(false)
    expect(questions).toBe(2)
    expect((await window.keep.load()).cursor).toBe(0)
    await untilQuiet(window)
    expect(idsOf(window.chart)).toEqual(expect.arrayContaining(server.concerning()))
    expect((await window.keep.load()).cursor).toBe(10)
  })

  it('says nothing of a patient’s id on the disk', async () => {
    const { server, browser } = await newBrowser()
    server.scope.add('mrn-4711')
    server.store(fact('other', 'mrn-4711', browser.nowMs))
    const window = await browser.window()
    await untilQuiet(window)
    await window.write('mrn-4711')
    const databases = await indexedDB.databases()
    const name = databases.find((each) => each.name?.includes(browser.personId))?.name ?? ''
    const text = await contentsOf(name)
    expect(text).toContain('staysUntilMs')
    expect(text).not.toContain('4711')
  })
})

/** Everything that stands in a database, as text; bytes as the text that they would be. */
async function contentsOf(name: string): Promise<string> {
  const opened = await new Promise<IDBDatabase>((resolve, reject) => {
    const request = indexedDB.open(name)
    request.onsuccess = () => resolve(request.result)
    request.onerror = () => reject(request.error)
  })
  const bytes = (value: unknown) =>
    value instanceof ArrayBuffer || ArrayBuffer.isView(value)
      ? Buffer.from(value as ArrayBuffer).toString('latin1')
      : undefined
  const all = await Promise.all(
    [...opened.objectStoreNames].map(
      (store) =>
        new Promise<string>((resolve) => {
          const request = opened.transaction(store).objectStore(store).getAll()
          request.onsuccess = () =>
            resolve(JSON.stringify(request.result, (_, value: unknown) => bytes(value) ?? value))
        }),
    ),
  )
  opened.close()
  return all.join('\n')
}

const PATIENTS = ['p1', 'p2', 'p3', 'p4']
const patient = fc.constantFrom(...PATIENTS)
const window = fc.constantFrom(0, 1)
const step = fc.oneof(
  { weight: 4, arbitrary: fc.record({ do: fc.constant('elsewhere' as const), of: fc.option(patient) }) },
  { weight: 3, arbitrary: fc.record({ do: fc.constant('shift' as const), of: patient }) },
  { weight: 5, arbitrary: fc.record({ do: fc.constant('pull' as const), window }) },
  { weight: 2, arbitrary: fc.record({ do: fc.constant('pull both' as const) }) },
  { weight: 2, arbitrary: fc.record({ do: fc.constant('write' as const), of: patient, window }) },
  { weight: 2, arbitrary: fc.record({ do: fc.constant('send' as const), window }) },
  { weight: 1, arbitrary: fc.record({ do: fc.constant('fetch' as const), of: patient, window }) },
  { weight: 1, arbitrary: fc.record({ do: fc.constant('reopen' as const), window }) },
  {
    weight: 1,
    arbitrary: fc.record({ do: fc.constant('wait' as const), hours: fc.integer({ min: 1, max: 80 }) }),
  },
  {
    weight: 1,
    arbitrary: fc.record({ do: fc.constant('bring back' as const), by: fc.integer({ min: 1, max: 5 }) }),
  },
)
/** What happens between two requests of one pull: somebody else writes, the shift changes, or an older copy is brought back. */
const between = fc.array(
  fc.oneof(
    { weight: 6, arbitrary: fc.record({ do: fc.constant('elsewhere' as const), of: fc.option(patient) }) },
    { weight: 6, arbitrary: fc.record({ do: fc.constant('shift' as const), of: patient }) },
    {
      weight: 1,
      arbitrary: fc.record({ do: fc.constant('bring back' as const), by: fc.integer({ min: 1, max: 5 }) }),
    },
  ),
  { maxLength: 30 },
)

describe('whatever happens in whatever order', () => {
  it('both windows and the disk hold exactly what concerns the shift, and what they may not let go of', async () => {
    await fc.assert(
      fc.asyncProperty(
        fc.array(step, { minLength: 5, maxLength: 40 }),
        between,
        fc.infiniteStream(fc.boolean()),
        async (steps, happenings, luck) => {
          const { server, browser } = await newBrowser()
          const windows = [await browser.window(), await browser.window()] as const
          let current: Window[] = [...windows]
          const pending = [...happenings]
          const happened = new Set<string>(steps.map((each) => each.do))
          server.onQuestion = () => {
            const next = pending.pop()
            if (next === undefined) return
            happened.add(next.do)
            if (next.do === 'shift') toggle(server.scope, next.of)
            else if (next.do === 'elsewhere') server.store(fact('other', next.of, browser.nowMs))
            else server.bringBack(Math.max(0, server.entries.length - next.by))
          }
          server.onAnswer = () => (luck.next().value || luck.next().value ? 'send' : 'lose')
          for (const each of steps) {
            const here = current['window' in each ? each.window : 0] as Window
            switch (each.do) {
              case 'elsewhere':
                server.store(fact('other', each.of, browser.nowMs))
                break
              case 'shift':
                toggle(server.scope, each.of)
                break
              case 'pull':
                await here.pull()
                break
              case 'pull both':
                await Promise.all(current.map((both) => both.pull()))
                break
              case 'write': {
                const written = await here.write(each.of)
                for (const other of current) {
                  other.chart.add([written])
                  await other.keep.heard([written])
                }
                break
              }
              case 'send':
                await here.send()
                break
              case 'fetch':
                if ((await here.puller.bring(each.of, 0)) === null) await here.keep.stay(each.of)
                break
              case 'reopen':
                here.puller.stop()
                current = current.map((open) => open)
                current[each.window] = await browser.window()
                break
              case 'wait':
                browser.nowMs += each.hours * HOUR_MS
                break
              case 'bring back':
                server.bringBack(Math.max(0, server.entries.length - each.by))
                break
            }
          }
          server.onQuestion = () => {}
          server.onAnswer = () => 'send'
          const wasBroughtBack = happened.has('bring back')
          // The first may find out that it counts in another line; the second sees what the first did.
          for (const each of [...current, ...current]) await untilQuiet(each)
          for (const each of current) await each.send()
          for (const each of [...current, ...current]) await untilQuiet(each)
          const fresh = await browser.window()
          const { now } = await fresh.keep.held()
          for (const id of server.scope) expect(now.whole.has(id) || server.entries.length === 0).toBe(true)
          // Nobody held whole lacks anything, and nothing is held of others but what was written here; or what is left of
          // somebody who stays from before the ledger was brought back.
          const expected = server.entries.filter(
            ({ fact: { about } }) => about.patientId === undefined || now.whole.has(about.patientId),
          )
          for (const { chart } of [...current, fresh]) {
            const ids = new Set(idsOf(chart))
            for (const { fact } of expected) expect(ids.has(fact.id)).toBe(true)
          }
          const known = new Set(expected.map(({ fact }) => fact.id))
          for (const each of fresh.chart.facts())
            if (!wasBroughtBack && !known.has(each.id) && each.by.personId !== browser.personId)
              expect(server.entries.some(({ fact }) => fact.id === each.id)).toBe(false)
          // After 80 h of quiet the tablet holds the set and no more.
          browser.nowMs += 80 * HOUR_MS
          toggle(server.scope, 'p1')
          server.store(fact('other', null, browser.nowMs))
          for (const each of [...current, ...current]) await untilQuiet(each)
          const last = await (await browser.window()).keep.held()
          expect([...last.now.whole].toSorted()).toEqual([...server.scope].toSorted())
          expect(last.now.beside).toEqual([])
          const still = new Set(server.concerning())
          for (const { chart } of current)
            for (const { id, about } of chart.facts())
              expect(still.has(id) || wasBroughtBack || about.patientId === undefined).toBe(true)
        },
      ),
      { numRuns: Number(process.env.PULL_RUNS ?? 60) },
    )
  }, 120_000)
})

function toggle(set: Set<string>, of: string): void {
  if (!set.delete(of)) set.add(of)
}
