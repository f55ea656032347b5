import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import type { Browser, Page } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { Hands, signIn, signInWithPin, unlock } from '../support/bedside.ts'
import { openBrowser, openKeptPage, openPage } from '../support/browser.ts'
import { type Hospital, openHospital } from '../support/hospital.ts'
import { entriesOf } from '../support/ledger-seen.ts'
import { AFTER, BEFORE, visit } from '../support/visit-by-hand.ts'

const EXPIRY = `${new Date().getFullYear() + 1}-05-31`

let hospital: Hospital
let browser: Browser
beforeAll(async () => {
  hospital = await openHospital()
  browser = await openBrowser()
})
afterAll(async () => {
  await browser?.close()
  await hospital?.close()
})

/** Everything in every database of the browser, as text; bytes as the letters that they would be. */
function allThatIsKept(page: Page): Promise<{ text: string; facts: number }> {
  return page.evaluate(async () => {
    const letters = (value: unknown): unknown => {
      if (value instanceof ArrayBuffer) return new TextDecoder('latin1').decode(value)
      if (ArrayBuffer.isView(value)) return new TextDecoder('latin1').decode(value as Uint8Array)
      if (value instanceof CryptoKey) return `key, extractable: ${value.extractable}`
      if (Array.isArray(value)) return value.map(letters)
      if (value === null || typeof value !== 'object') return value
      return Object.fromEntries(Object.entries(value).map(([key, each]) => [key, letters(each)]))
    }
    const asked = <T>(request: IDBRequest<T>) =>
      new Promise<T>((resolve, reject) => {
        request.onsuccess = () => resolve(request.result)
        request.onerror = () => reject(request.error)
      })
    let text = ''
    let facts = 0
    for (const { name } of await indexedDB.databases()) {
      if (name === undefined || name.startsWith('workbox')) continue
      const db = await asked(indexedDB.open(name))
      for (const store of db.objectStoreNames) {
        const rows = await asked(db.transaction(store).objectStore(store).getAll())
        if (store === 'facts') facts += rows.length
        text += `${name} ${store} ${JSON.stringify(letters(rows))}\n`
      }
      db.close()
    }
    return { text: text + JSON.stringify({ ...localStorage }), facts }
  })
}

async function toSend(page: Page): Promise<void> {
  const words = page.getByText(/\d+ to send/).filter({ visible: true })
  await words.first().waitFor({ timeout: 60_000 })
}

async function allSent(page: Page): Promise<void> {
  await page.getByText('all sent').waitFor({ timeout: 30_000 })
}

describe('what a tablet keeps', () => {
  it('can be read by nobody without the key, and the key by nobody at all', async () => {
    const { page, context } = await openPage(browser, 'tablet')
    await signIn(page, hospital.address, 'amsel')
    await allSent(page)
    const written = JSON.stringify(await entriesOf(hospital))
    const patients = [...written.matchAll(/"family":"([^"]{4,})"/g)].map(([, family]) => family ?? '')
    expect(patients.length).toBeGreaterThan(20)
    const { text, facts } = await allThatIsKept(page)
    expect(facts).toBeGreaterThan(300)
    expect(text).toContain('key, extractable: false')
    expect(text).not.toContain('extractable: true')
    expect(patients.filter((family: string) => text.includes(family))).toEqual([])
    expect(/.{0,80}(albuterol|heartRatePerMin).{0,20}/.exec(text)?.[0]).toBeUndefined()
    await context.close()
  })

  it('is gone after signing out, once all is sent', async () => {
    const { page, context } = await openPage(browser, 'tablet')
    await signIn(page, hospital.address, 'amsel')
    await allSent(page)
    await page.goto(`${hospital.address}/more`)
    await page.getByRole('button', { name: 'Sign out' }).click()
    await page.getByRole('dialog').getByRole('button', { name: 'Sign out' }).click()
    await page.getByRole('heading', { name: 'Sign in for your shift.' }).waitFor()
    expect(await allThatIsKept(page)).toMatchObject({ facts: 0 })
    expect((await allThatIsKept(page)).text).not.toContain('key, extractable')
    await context.close()
  })

  it('locks, and loses its key, once the lead has given the tablet up', async () => {
    const lost = await openPage(browser, 'tablet')
    await signIn(lost.page, hospital.address, 'birke')
    await allSent(lost.page)
    const lead = await openPage(browser, 'workstation')
    await signIn(lead.page, hospital.address, 'falk')
    await lead.page.goto(`${hospital.address}/setup`)
    await lead.page.getByRole('button', { name: /^Give up .* Birke/ }).click()
    await lead.page.getByRole('dialog').getByRole('button', { name: 'Give it up' }).click()
    await lead.page.getByText(/^given up/).waitFor()
    await lost.page.getByRole('heading', { name: 'Locked' }).waitFor({ timeout: 45_000 })
    await expect
      .poll(async () => (await allThatIsKept(lost.page)).text.includes('key, extractable'), { timeout: 5000 })
      .toBe(false)
    await lost.page.reload()
    await lost.page.getByRole('heading', { name: 'Sign in for your shift.' }).waitFor()
    expect(await allThatIsKept(lost.page)).toMatchObject({ facts: 0 })
    await lost.context.close()
    await lead.context.close()
  })
})

describe('a shift without a network', () => {
  it('does three visits, outlives the browser, and comes back with nothing lost and nothing twice', async () => {
    const folder = mkdtempSync(join(tmpdir(), 'mistwright-tablet-'))
    let { page, context } = await openKeptPage(folder)
    await signInWithPin(page, hospital.address, 'lindt')
    await allSent(page)
    await page.evaluate(() => navigator.serviceWorker.ready.then(() => undefined))
    const before = await entriesOf(hospital)

    await context.setOffline(true)
    for (const patient of [/^Visit 4WEST 12/, /^Visit 3WEST 11/, /^Visit 4WEST 7 A/]) {
      const hands = new Hands(page, 'touch')
      await hands.choose('Whose', 'All units')
      await hands.press(page.getByRole('button', { name: patient }).first())
      await visit.door(hands)
      await visit.identify(hands, EXPIRY)
      await visit.measureBefore(hands, BEFORE)
      await visit.prepare(hands)
      await visit.setUp(hands)
      await visit.start(hands)
      await visit.finish(hands)
      await visit.after(hands, AFTER)
      await visit.sign(hands)
      await hands.press(page.getByRole('link', { name: 'Round' }).first())
    }
    await toSend(page)
    await context.close()

    ;({ page, context } = await openKeptPage(folder))
    await context.setOffline(true)
    await page.goto(hospital.address)
    await unlock(page)
    await toSend(page)
    await context.setOffline(false)
    await allSent(page)

    const after = await entriesOf(hospital)
    const mine = after.slice(before.length).map(({ fact }) => fact)
    expect(mine.every(({ by }) => by.personId === 'lindt')).toBe(true)
    expect(new Set(after.map(({ fact }) => fact.id)).size).toBe(after.length)
    expect(after.map(({ sequence }) => sequence)).toEqual(after.map((_, index) => index + 1))
    for (const kind of ['visit-opened', 'treatment-started', 'treatment-ended', 'note-signed']) {
      expect([kind, mine.filter((fact) => fact.kind === kind).length]).toEqual([kind, 3])
    }

    // Which records were opened without a network is told to the access log, with the time at which it was.
    const lead = await openPage(browser, 'workstation')
    await signIn(lead.page, hospital.address, 'falk')
    const told = async () => {
      const looks = await lead.page.evaluate(async () => {
        const reply = await fetch('/api/access-log?personId=lindt&limit=2000')
        const { notes } = await reply.json()
        return notes.filter(({ what }: { what: string }) => what === 'opened visit')
      })
      return new Set(looks.map(({ about }: { about: string }) => about.split(' at ')[0]))
    }
    const visited = new Set(mine.flatMap(({ about }) => about.patientId ?? []))
    expect(visited.size).toBe(3)
    await expect.poll(told, { timeout: 20_000 }).toEqual(visited)
    await lead.context.close()
    await context.close()
    rmSync(folder, { recursive: true, force: true })
  })
})
