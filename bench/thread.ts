import type { Browser, Page } from 'playwright-core'
import { signIn } from '../test/support/bedside.ts'
import { openBrowser, openPage } from '../test/support/browser.ts'
import { openHospital } from '../test/support/hospital.ts'
import { floorSteps, roundSteps, type Step } from '../test/support/planning-steps.ts'
import { heldUp, watchPage } from '../test/support/watch-page.ts'

/**
 * How long the page's own thread is held up while the round is planned: the longest task of every step of a shift by
 * touch, by the processor time it took, which other work on the machine lengthens less, and by the clock on the wall.
 * The app must be built.
 */
export async function run(): Promise<void> {
  const hospital = await openHospital()
  const browser = await openBrowser()
  try {
    const own = await openPage(browser, 'tablet')
    await signIn(own.page, hospital.address, 'corvin')
    await measure(browser, own.page, roundSteps(own.page, hospital.address))
    await own.context.close()
    const lead = await openPage(browser, 'tablet')
    await signIn(lead.page, hospital.address, 'falk')
    await measure(browser, lead.page, floorSteps(lead.page, hospital.address))
    await lead.context.close()
  } finally {
    await browser.close()
    await hospital.close()
  }
}

async function measure(browser: Browser, page: Page, steps: readonly Step[]): Promise<void> {
  for (const { name, act } of steps) console.log(heldUp(name, await watchPage(browser, page, act)))
}
