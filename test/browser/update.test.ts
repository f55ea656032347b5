import type { Browser, Page } from 'playwright-core'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { Hands, signIn } from '../support/bedside.ts'
import { openBrowser, openPage } from '../support/browser.ts'
import { type Hospital, openHospital } from '../support/hospital.ts'
import { openPublisher, type Publisher } from '../support/newer-version.ts'
import { stageIs, visit } from '../support/visit-by-hand.ts'

let hospital: Hospital
let publisher: Publisher
let browser: Browser
beforeAll(async () => {
  hospital = await openHospital()
  publisher = await openPublisher(hospital.address)
  browser = await openBrowser()
})
afterAll(async () => {
  await browser?.close()
  await publisher?.close()
  await hospital?.close()
})

/** A mark on the page that only a reload takes away. */
const mark = (page: Page) => page.evaluate(() => void Object.assign(globalThis, { notReloaded: true }))
const isSame = (page: Page) => page.evaluate(() => 'notReloaded' in globalThis)

it('a new version of the app waits while a visit is open, in another window too, and what is half entered stays', async () => {
  const { page, context } = await openPage(browser, 'tablet')
  await signIn(page, publisher.address, 'amsel')
  await page.getByText('all sent').waitFor({ timeout: 30_000 })
  await page.evaluate(() => navigator.serviceWorker.ready.then(() => undefined))
  // The first worker takes the page over only when it is opened again, as it does every morning.
  await page.reload()
  await page.getByText('all sent').waitFor({ timeout: 30_000 })
  const hands = new Hands(page, 'touch')
  await hands.choose('Whose', 'All units')
  await hands.press(page.getByRole('button', { name: /^Visit / }).first())
  await visit.door(hands)
  await stageIs(page, 'Identify')
  const half = page.getByLabel('Number on the band, typed')
  await half.fill('LK20')
  await mark(page)

  publisher.publish()
  await page.evaluate(async () => (await navigator.serviceWorker.ready).update())
  await page.getByText('It waits until this is done: a visit is open.').waitFor({ timeout: 60_000 })
  expect(await page.getByRole('button', { name: 'Use it now' }).count()).toBe(0)

  const other = await context.newPage()
  await other.goto(publisher.address)
  await other.getByRole('button', { name: 'Use it now' }).click({ timeout: 60_000 })
  await other.getByText('Another window of Mistwright has a visit open.').waitFor()
  expect([await isSame(page), await half.inputValue()]).toEqual([true, 'LK20'])
  await other.close()

  await hands.press(page.getByRole('button', { name: 'leave the visit' }))
  const reloaded = page.waitForEvent('load', { timeout: 60_000 })
  await page.getByRole('button', { name: 'Use it now' }).click()
  await reloaded
  await page.getByText('all sent').waitFor({ timeout: 30_000 })
  expect(await isSame(page)).toBe(false)
  await context.close()
})
