import { readFileSync } from 'node:fs'
import type { Browser, Page } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { PullAnswer } from '../../src/api/pull.ts'
import { Chart } from '../../src/chart/folds/chart.ts'
import { fullName, type PatientState } from '../../src/chart/folds/patient.ts'
import { type AnyFact, readFact } from '../../src/chart/registry.ts'
import { Hands, signIn, signInWithPin, unlock } from '../support/bedside.ts'
import { openBrowser, openPage } from '../support/browser.ts'
import { type Hospital, openHospital } from '../support/hospital.ts'

let hospital: Hospital
let browser: Browser
let whole: Chart
let concerned: readonly string[]
/** Somebody whom the shift does not concern: on a unit that nobody was given, and without an order. */
let outsider: PatientState
const NUMBER = 'MB777001'
const ADMISSION = readFileSync('src/exchange/hl7/test-data/01-adt-a01-admit.hl7', 'utf8')
  .replaceAll('MB004417', NUMBER)
  .replace('ENC70021', 'ENC77001')
  .replace('ENC70021', 'ENC77001')
  .replace('8018095011014560000112^^^MARROWBY&GS1&L^PI', '')
  .replace('4EAST^412^A', '6QUIET^601^A')
  .replace('MB10001', 'MB77701')

beforeAll(async () => {
  hospital = await openHospital()
  browser = await openBrowser()
  const { page, context } = await openPage(browser, 'tablet')
  await signIn(page, hospital.address, 'falk')
  const told = await page.evaluate(async (text) => {
    const headers = { 'content-type': 'application/json' }
    const body = JSON.stringify({ channel: 'hl7v2', text })
    return (await fetch('/api/messages', { method: 'POST', headers, body })).json()
  }, ADMISSION)
  expect(told.answers).toMatchObject([{ code: 'AA' }])
  const lines = await page.evaluate(async () => (await fetch('/api/export/facts.ndjson')).text())
  whole = new Chart().add(factsIn(lines))
  concerned = await scopeOf(page)
  await context.close()
  const found = whole.patients().find(({ mrn }) => mrn === NUMBER)
  if (!found) throw new Error('the admission was not taken')
  expect(concerned).not.toContain(found.patientId)
  outsider = found
})
afterAll(async () => {
  await browser?.close()
  await hospital?.close()
})

function factsIn(lines: string): AnyFact[] {
  return lines
    .trim()
    .split('\n')
    .flatMap((line) => {
      const read = readFact(JSON.parse((JSON.parse(line) as { text: string }).text))
      return read.ok ? [read.fact] : []
    })
}

/** Whom the shift concerns, as the server says to a tablet that has taken over what is about nobody. */
async function scopeOf(page: Page): Promise<readonly string[]> {
  const asked = (place: object) =>
    page.evaluate(async (body) => {
      const headers = { 'content-type': 'application/json' }
      return (await fetch('/api/pull', { method: 'POST', headers, body: JSON.stringify(body) })).json()
    }, place)
  const nobody = { device: 'test', waiting: 0, after: 0, mark: null, from: 0, scope: null, beside: [] }
  const begun = PullAnswer.parse(await asked(nobody))
  if (begun.kind !== 'entries' || begun.more) throw new Error('what is about nobody did not come in one page')
  const answer = PullAnswer.parse(await asked({ ...nobody, after: begun.upTo, mark: begun.mark }))
  if (answer.kind !== 'scope') throw new Error('the server did not say whom the shift concerns')
  return answer.patients
}

/** How many patients the tablet keeps something of, and how many facts. */
function keptOn(page: Page): Promise<{ patients: number; facts: number }> {
  return page.evaluate(async () => {
    const names = await indexedDB.databases()
    const name = names.find((each) => each.name?.startsWith('mistwright kept'))?.name ?? ''
    const asked = <T>(request: IDBRequest<T>) =>
      new Promise<T>((resolve, reject) => {
        request.onsuccess = () => resolve(request.result)
        request.onerror = () => reject(request.error)
      })
    const db = await asked(indexedDB.open(name))
    const count = (store: string) => asked(db.transaction(store).objectStore(store).count())
    const kept = { patients: await count('held'), facts: await count('facts') }
    db.close()
    return kept
  })
}

const allSent = (page: Page) => page.getByText('all sent').first().waitFor({ timeout: 30_000 })

describe('a tablet', () => {
  it('holds whom the shift concerns and nobody else, and fetches others by their number', async () => {
    const { page, context, troubles } = await openPage(browser, 'tablet')
    await signInWithPin(page, hospital.address, 'amsel')
    await page.evaluate(() => navigator.serviceWorker.ready.then(() => undefined))
    await expect.poll(async () => (await keptOn(page)).patients, { timeout: 30_000 }).toBe(concerned.length)
    expect((await keptOn(page)).facts).toBeLessThan([...whole.facts()].length)

    await page.goto(`${hospital.address}/patient/${outsider.patientId}`)
    await page.getByText('This patient is not on this tablet.').waitFor()
    await page.goto(`${hospital.address}/record`)
    const number = page.getByLabel('Record number of somebody not on this tablet')
    await number.fill('0000000')
    await page.getByRole('button', { name: 'Fetch the record' }).click()
    await page.getByText('The census knows nobody with the number 0000000.').waitFor()
    await number.fill(outsider.mrn ?? '')
    await page.getByRole('button', { name: 'Fetch the record' }).click()
    await page.getByRole('heading', { name: fullName(outsider) }).waitFor()
    expect(await page.getByText('Not the whole record.').count()).toBe(0)
    expect((await keptOn(page)).patients).toBe(concerned.length + 1)

    await allSent(page)
    await context.setOffline(true)
    await page.reload()
    await unlock(page)
    await page.getByRole('heading', { name: fullName(outsider) }).waitFor()
    expect(troubles()).toEqual([])
    await context.close()
  })

  it('lets an order be entered by hand for somebody whom it did not hold', async () => {
    const { page, context, troubles } = await openPage(browser, 'tablet')
    await signIn(page, hospital.address, 'birke')
    await allSent(page)
    await page.goto(`${hospital.address}/settle`)
    const hands = new Hands(page, 'touch')
    await hands.button('By hand')
    const sheet = page.getByRole('dialog')
    await sheet.getByLabel('Record number of somebody not on this tablet').fill(outsider.mrn ?? '')
    await sheet.getByRole('button', { name: 'Fetch the record' }).click()
    const tile = sheet.getByRole('radio', { name: fullName(outsider) })
    await tile.waitFor({ state: 'attached' })
    expect(await tile.isChecked()).toBe(true)
    expect(troubles()).toEqual([])
    await context.close()
  })

  it('says while patients are still coming that lists and plan are of those who are here, and gives no plan out', async () => {
    const { page, context, troubles } = await openPage(browser, 'tablet')
    let letThrough = () => {}
    const held = new Promise<void>((resolve) => {
      letThrough = resolve
    })
    let fetched = 0
    await context.route('**/api/pull/patients', async (route) => {
      fetched += 1
      if (fetched > 1) await held
      await route.continue()
    })
    await signIn(page, hospital.address, 'falk')
    const toCome = concerned.length - 10
    const strip = page.getByText(`${toCome} patients of the shift are still coming to this tablet.`)
    await strip.waitFor()
    await page.getByText(`${toCome} patients to come`).waitFor()
    await page.getByText('The round is being planned; this is the due list.').waitFor()
    await page.getByRole('link', { name: 'More' }).click()
    await page.getByRole('link', { name: /^Floor/ }).click()
    await strip.waitFor()
    const giveOut = page.getByRole('button', { name: 'Give this plan out' })
    expect(await giveOut.count()).toBe(0)

    letThrough()
    await giveOut.waitFor({ timeout: 30_000 })
    expect(await page.getByText('Not everybody is here yet.').count()).toBe(0)
    expect(troubles()).toEqual([])
    await context.close()
  })
})
