import type { Browser } from 'playwright-core'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { Hands, signIn } from '../support/bedside.ts'
import { openBrowser, openPage } from '../support/browser.ts'
import { type Hospital, openHospital } from '../support/hospital.ts'

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

/** Counts the times at which the screen was held up for longer than 50 ms, from now on. */
const WATCH = `window.heldUpMs = []; new PerformanceObserver((list) => {
  for (const entry of list.getEntries()) window.heldUpMs.push(Math.round(entry.duration))
}).observe({ type: 'longtask' })`

it('the lead splits the patients by touch, gives the plan out, and reads why a visit is then', async () => {
  const { page, context, troubles } = await openPage(browser, 'tablet')
  await signIn(page, hospital.address, 'falk')
  await page.goto(`${hospital.address}/floor`)
  const hands = new Hands(page, 'touch')
  await page.getByText('A proposal.').waitFor()
  await hands.button('Split the patients afresh')
  const sheet = page.getByRole('dialog')
  await sheet.getByRole('button', { name: 'Give this plan out' }).tap()
  await page.getByText(/^Given out by Mirja Falk at/).waitFor()
  const stops = page.getByRole('region', { name: 'Therapists across, hours down' }).getByRole('button')
  expect(await stops.count()).toBeGreaterThan(3)
  await stops.last().tap()
  await sheet.getByText(/^Due \d\d:\d\d\. On time from/).waitFor()
  await sheet.getByRole('button', { name: 'Close' }).tap()
  expect(troubles()).toEqual([])
  await context.close()
})

it('plans without holding the screen up for longer than 50 ms', async () => {
  const { page, context } = await openPage(browser, 'tablet')
  await signIn(page, hospital.address, 'falk')
  await page.goto(`${hospital.address}/floor`)
  await page.getByRole('region', { name: 'Therapists across, hours down' }).waitFor()
  await page.waitForTimeout(6000)
  await page.evaluate(WATCH)
  await page.getByRole('button', { name: 'Split the patients afresh' }).tap()
  await page.getByRole('dialog').getByRole('button', { name: 'Leave it as it was' }).waitFor()
  await page.waitForTimeout(500)
  const held = await page.evaluate<number[]>('window.heldUpMs')
  console.log(`held up for longer than 50 ms while planning: ${JSON.stringify(held)}`)
  expect(held.filter((ms) => ms > 50)).toEqual([])
  await context.close()
})
