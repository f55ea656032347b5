import type { Browser, Page } from 'playwright-core'
import { longest, type PageTrace, readPageTrace } from './page-tasks.ts'

/** No task of the page may hold up a finger for longer [ms]. */
export const MARK_MS = 50

const MARK = 'the page that is watched'
const CATEGORIES = ['devtools.timeline', 'toplevel', 'blink.user_timing']
/** What a step sets off (a better plan looked for) belongs to it [ms]. */
const AFTERMATH_MS = 3000

/** Records what Chromium does while something is done on a page, and a little longer. One recording at a time. */
export async function watchPage(browser: Browser, page: Page, act: () => Promise<void>): Promise<PageTrace> {
  await browser.startTracing(page, { categories: CATEGORIES })
  try {
    await act()
    await page.waitForTimeout(AFTERMATH_MS)
    await page.evaluate((name) => void performance.mark(name), MARK)
  } catch (error) {
    await browser.stopTracing()
    throw error
  }
  return readPageTrace(await browser.stopTracing(), MARK)
}

/** One line on how long the page's own thread was held up: by its processor time, and by the clock on the wall. */
export function heldUp(step: string, { page: { tasks }, driver }: PageTrace): string {
  const most = longest(tasks, 'processorMs')
  const wall = longest(tasks, 'wallMs').wallMs
  const over = tasks.filter(({ processorMs }) => processorMs > MARK_MS).length
  const within = over > 0 ? `; in the longest: ${most.parts.join(', ')}` : ''
  const asked = driver.length > 0 ? longest(driver, 'processorMs').processorMs : 0
  const drivers = `${driver.length} of the driver’s questions left out, ${figure(asked).trim()} ms at most`
  return `${step.padEnd(42)} longest task of the page ${figure(most.processorMs)} ms of processor, ${figure(wall)} ms by the clock; ${over} of ${tasks.length} tasks over ${MARK_MS} ms of processor${within}; ${drivers}`
}

const figure = (ms: number): string => ms.toFixed(0).padStart(4)
