import type { Browser, Page } from 'playwright-core'
import { Hands, signIn } from '../test/support/bedside.ts'
import { openBrowser, openPage } from '../test/support/browser.ts'
import { openHospital } from '../test/support/hospital.ts'
import { dragByTouch, middleOf } from '../test/support/touch.ts'
import { type PageTask, pageTasks } from './page-tasks.ts'

/** No task of the page may hold up a finger for longer [ms]. */
const MARK_MS = 50

type Step = { readonly name: string; readonly act: () => Promise<void> }

/**
 * How long the page's own thread is held up while the round is planned: the longest task of every step of a shift by
 * touch, by the processor time it took, which other work on the machine does not lengthen. The app must be built.
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

function roundSteps(page: Page, address: string): Step[] {
  const hands = new Hands(page, 'touch')
  const sheet = page.getByRole('dialog')
  return [
    {
      name: 'Round opened, first plan',
      act: async () => {
        await page.goto(address)
        await page.locator('.round-thread').waitFor()
      },
    },
    {
      name: 'a call, planned around',
      act: async () => {
        await hands.button('A call came in')
        await hands.press(page.getByRole('button', { name: /^Plan it: 4WEST 7/ }))
        await page.getByText('The plan has changed.').waitFor()
      },
    },
    {
      name: 'what changes, and given out',
      act: async () => {
        await hands.button('What changes')
        await hands.press(sheet.getByRole('button', { name: 'Close' }))
        await hands.button('Give this plan out')
        await page.getByText(/^Given out by Alda Corvin at/).waitFor()
      },
    },
    {
      name: 'a knot pulled in front of the one before',
      act: async () => {
        const knots = page.locator('.stop:not(.stop-break)[data-movable="true"] .stop-mark')
        const [to, from] = [await middleOf(knots.nth(1)), await middleOf(knots.nth(2))]
        await dragByTouch(page, from, { x: to.x, y: to.y - 12 })
        await sheet.getByRole('button', { name: /^Leave it/ }).waitFor()
      },
    },
  ]
}

function floorSteps(page: Page, address: string): Step[] {
  const hands = new Hands(page, 'touch')
  const sheet = page.getByRole('dialog')
  const column = (person: string) => page.locator(`[data-column="${person}"]`)
  return [
    {
      name: 'Floor opened, first plan',
      act: async () => {
        await page.goto(`${address}/floor`)
        await page.getByRole('region', { name: 'Therapists across, hours down' }).waitFor()
      },
    },
    {
      name: 'a visit pulled to somebody else',
      act: async () => {
        const grip = column('amsel').locator(
          '.floor-stop:not(.floor-stop-break) .floor-grip:not(.floor-grip-still)',
        )
        const [from, to] = [await middleOf(grip.first()), await middleOf(column('birke').locator('h3'))]
        await dragByTouch(page, from, { x: to.x, y: from.y })
        await hands.press(sheet.getByRole('button', { name: /^Leave it/ }))
      },
    },
    {
      name: 'split afresh',
      act: async () => {
        await hands.button('Split the patients afresh')
        await sheet.getByRole('button', { name: 'Give this plan out' }).waitFor()
        await hands.press(sheet.getByRole('button', { name: 'Leave it' }))
      },
    },
    {
      name: 'how many hands',
      act: async () => {
        await hands.button('How many does it need?')
        await page.getByText(/enough for everything on time/).waitFor({ timeout: 120_000 })
      },
    },
    {
      name: 'what if one goes home',
      act: async () => {
        await hands.button('What if one goes home?')
        await hands.choose('Who', 'Jonas Birke')
        await hands.choose('When', 'Now')
        await sheet.getByRole('img', { name: /^Left thread the plan now/ }).waitFor()
        await page.keyboard.press('Escape')
        await sheet.waitFor({ state: 'hidden' })
      },
    },
  ]
}

async function measure(browser: Browser, page: Page, steps: readonly Step[]): Promise<void> {
  for (const { name, act } of steps) {
    await browser.startTracing(page, { categories: ['devtools.timeline', 'toplevel'] })
    await act()
    // What the step set off (a better plan looked for) belongs to it.
    await page.waitForTimeout(3000)
    report(name, pageTasks(await browser.stopTracing()))
  }
}

function report(name: string, tasks: readonly PageTask[]): void {
  const [longest, second] = tasks.toSorted((a, b) => b.ms - a.ms)
  const over = tasks.filter(({ ms }) => ms > MARK_MS).length
  console.log(
    `${name.padEnd(42)} longest ${longest?.ms.toFixed(0).padStart(4)} ms, then ${second?.ms.toFixed(0).padStart(4)} ms; ${over} of ${tasks.length} tasks over ${MARK_MS} ms${over > 0 ? `; in the longest: ${longest?.parts.join(', ')}` : ''}`,
  )
}
