import { mkdirSync } from 'node:fs'
import type { Browser } from 'playwright-core'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { signIn } from '../support/bedside.ts'
import { openBrowser, openPage, SIZES, type Size } from '../support/browser.ts'
import { type Hospital, openHospital } from '../support/hospital.ts'
import { SCREENS } from '../support/screens.ts'

const FOLDER = 'shots'
let hospital: Hospital
let browser: Browser
beforeAll(async () => {
  mkdirSync(FOLDER, { recursive: true })
  hospital = await openHospital()
  browser = await openBrowser()
})
afterAll(async () => {
  await browser?.close()
  await hospital?.close()
})

const SHOTS = (Object.keys(SIZES) as Size[]).flatMap((size) =>
  (['day', 'night'] as const).map((theme) => [size, theme] as const),
)

it.each(SHOTS)('writes every screen at %s size by %s', async (size, theme) => {
  const { page, context, troubles } = await openPage(browser, size, theme)
  await page.goto(hospital.address)
  await page.getByLabel('Name').waitFor()
  await page.screenshot({ path: `${FOLDER}/${size}-${theme}-sign-in.png` })
  await signIn(page, hospital.address, 'falk')
  await page.getByText('all sent').waitFor()
  for (const { name, open } of SCREENS) {
    await open(page, hospital.address)
    await page.evaluate((chosen) => {
      document.documentElement.dataset.theme = chosen
    }, theme)
    await page.screenshot({ path: `${FOLDER}/${size}-${theme}-${name}.png` })
  }
  expect(troubles()).toEqual([])
  await context.close()
})
