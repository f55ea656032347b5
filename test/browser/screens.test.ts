import type { Browser } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { signIn } from '../support/bedside.ts'
import { accessibilityProblems, openBrowser, openPage } from '../support/browser.ts'
import { type Hospital, openHospital } from '../support/hospital.ts'
import { SCREENS } from '../support/screens.ts'

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

describe.each(['day', 'night'] as const)('by %s', (theme) => {
  it('no screen breaks an accessibility rule that axe knows (WCAG 2.2 A and AA), or writes an error', async () => {
    const { page, context, troubles } = await openPage(browser, 'tablet', theme)
    await signIn(page, hospital.address, 'falk')
    await page.evaluate((chosen) => {
      document.documentElement.dataset.theme = chosen
    }, theme)
    const problems: string[] = []
    for (const { name, open } of SCREENS) {
      await open(page, hospital.address)
      await page.evaluate((chosen) => {
        document.documentElement.dataset.theme = chosen
      }, theme)
      problems.push(...(await accessibilityProblems(page)).map((problem) => `${name}: ${problem}`))
    }
    expect(problems).toEqual([])
    expect(troubles()).toEqual([])
    await context.close()
  })
})

it('no screen needs scrolling sideways at 320 CSS pixels (WCAG 2.2, 1.4.10)', async () => {
  const { page, context } = await openPage(browser, 'phone')
  await page.setViewportSize({ width: 320, height: 640 })
  await signIn(page, hospital.address, 'gerlach')
  const wide: string[] = []
  for (const { name, open } of SCREENS) {
    await open(page, hospital.address)
    const overflow = await page.evaluate(
      () => document.documentElement.scrollWidth - document.documentElement.clientWidth,
    )
    if (overflow > 0) wide.push(`${name} by ${overflow} px`)
  }
  expect(wide).toEqual([])
  await context.close()
})
