import type { Browser, Page } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { Hands, signIn } from '../support/bedside.ts'
import { openBrowser, openPage } from '../support/browser.ts'
import { type Hospital, openHospital } from '../support/hospital.ts'
import { factsOf } from '../support/ledger-seen.ts'
import { dragByTouch, middleOf } from '../support/touch.ts'

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

/** The lead's tablet, with everybody on it. */
async function floor() {
  const { page, context, troubles } = await openPage(browser, 'tablet')
  await signIn(page, hospital.address, 'falk')
  await page.goto(`${hospital.address}/floor`)
  await page.getByRole('region', { name: 'Therapists across, hours down' }).waitFor()
  return { page, context, troubles, hands: new Hands(page, 'touch'), sheet: page.getByRole('dialog') }
}

const column = (page: Page, person: string) => page.locator(`[data-column="${person}"]`)
const visitsOf = async (page: Page, person: string) =>
  column(page, person).locator('button.floor-label').count()

async function headOf(page: Page, person: string) {
  return middleOf(column(page, person).locator('h3'))
}

/** In the page: presses Stop beside the first progress bar that comes, and notes the name of that. */
function pressStopAsItAppears(): void {
  const watch = new MutationObserver(() => {
    const bar = document.querySelector('[role="dialog"] [role="progressbar"]')
    const stop = [...document.querySelectorAll<HTMLElement>('[role="dialog"] button')].find(
      ({ textContent }) => textContent === 'Stop',
    )
    if (!bar || !stop) return
    watch.disconnect()
    const named = document.getElementById(bar.getAttribute('aria-labelledby') ?? '')
    document.documentElement.dataset.stopped = bar.getAttribute('aria-label') ?? named?.textContent ?? ''
    stop.click()
  })
  watch.observe(document.body, { childList: true, subtree: true })
}

describe('the floor by touch', () => {
  it('splits the patients afresh with progress that can be stopped, and gives the plan out', async () => {
    const { page, context, troubles, hands, sheet } = await floor()
    const before = (await factsOf(hospital, 'plan-issued')).length
    // The work takes a second and a half, so a tap sent from here might come after its end: it is pressed as it appears.
    await page.evaluate(pressStopAsItAppears)
    await hands.button('Split the patients afresh')
    await sheet.getByText('Stopped.').waitFor()
    expect(await page.evaluate(() => document.documentElement.dataset.stopped)).toBe('Working it out')
    await hands.press(sheet.getByRole('button', { name: 'Leave it' }))
    await hands.button('Split the patients afresh')
    await hands.press(sheet.getByRole('button', { name: 'Give this plan out' }))
    await sheet.waitFor({ state: 'hidden' })
    await page.getByText('all sent').waitFor()
    const plans = await factsOf(hospital, 'plan-issued')
    expect(plans.length).toBe(before + 1)
    expect(plans.at(-1)?.body.because).toMatchObject({
      kind: 'by hand',
      words: 'split afresh among everybody',
    })
    expect(troubles()).toEqual([])
    await context.close()
  })

  it('drags one visit to somebody else', async () => {
    const { page, context, troubles, hands, sheet } = await floor()
    const grips = column(page, 'amsel').locator(
      '.floor-stop:not(.floor-stop-break) .floor-grip:not(.floor-grip-still)',
    )
    const to = await headOf(page, 'birke')
    const titles: string[] = []
    for (let at = 0; at < (await grips.count()); at += 1) {
      const from = await middleOf(grips.nth(at))
      await dragByTouch(page, from, { x: to.x, y: from.y })
      await sheet.getByRole('button', { name: /^Leave it/ }).waitFor()
      titles.push((await sheet.getByRole('heading').first().textContent()) ?? '')
      if (titles.at(-1) !== 'That cannot be done') break
      await hands.press(sheet.getByRole('button', { name: 'Leave it' }))
      await sheet.waitFor({ state: 'hidden' })
    }
    expect(titles.at(-1)).toMatch(/: Jonas Birke at \d\d:\d\d\.$/)
    await hands.press(sheet.getByRole('button', { name: 'Give this plan out' }))
    const pinnedTo = async () => (await factsOf(hospital, 'visit-pinned')).at(-1)?.body.personId
    await expect.poll(pinnedTo, { timeout: 12_000 }).toBe('birke')
    expect(troubles()).toEqual([])
    await context.close()
  })

  it('drags everything of one person to another, and says what cannot go', async () => {
    const { page, context, troubles, hands, sheet } = await floor()
    const had = await visitsOf(page, 'esker')
    const from = await middleOf(page.getByRole('button', { name: 'Hand over all of Thea Esker' }))
    const to = await headOf(page, 'amsel')
    await dragByTouch(page, from, { x: to.x, y: from.y })
    await sheet.getByText(/^\S+ visits? of Thea Esker (go|goes) to Romy Amsel\.$/).waitFor()
    await hands.press(sheet.getByRole('button', { name: 'Leave it as it was' }))
    await sheet.waitFor({ state: 'hidden' })
    expect(await visitsOf(page, 'esker')).toBe(had)
    expect(troubles()).toEqual([])
    await context.close()
  })

  it('hands everything over by keyboard too, to whomever it fits', async () => {
    const { page, context, troubles, sheet } = await floor()
    const hands = new Hands(page, 'keys')
    await hands.button('Hand over all of Piet Dorn')
    await hands.press(sheet.getByRole('button', { name: 'See what it brings' }))
    await sheet.getByText(/of Piet Dorn (go|goes) to the others\.$/).waitFor()
    await sheet
      .getByText(/because /)
      .first()
      .waitFor()
    await hands.press(sheet.getByRole('button', { name: 'Leave it as it was' }))
    expect(troubles()).toEqual([])
    await context.close()
  })

  it('counts how many hands the day needs, hour by hour, and can be stopped', async () => {
    const { page, context, troubles, hands } = await floor()
    await hands.button('How many does it need?')
    await page.getByRole('progressbar', { name: /^Counting how many hands/ }).waitFor()
    await page.getByText(/(is|are) enough for everything on time from now on; .* (is|are) on\.$/).waitFor()
    await page.getByText('the least that could do it').waitFor()
    expect(troubles()).toEqual([])
    await context.close()
  })
})

describe('a floor with too few hands', () => {
  it('compares two plans, writes down who goes home, and says what cannot be done and what would help', async () => {
    const { page, context, troubles, hands, sheet } = await floor()
    for (const person of ['Jonas Birke', 'Thea Esker', 'Piet Dorn']) {
      await hands.button('What if one goes home?')
      await hands.choose('Who', person)
      await hands.choose('When', 'Now')
      await sheet.getByRole('img', { name: /^Left thread the plan now, right thread if/ }).waitFor()
      await sheet.getByRole('row', { name: /^Minutes late in all \d+ \d+/ }).waitFor()
      await hands.press(
        sheet.getByRole('button', { name: new RegExp(`^${person} goes home at .*write it down$`) }),
      )
      await sheet.waitFor({ state: 'hidden' })
      await column(page, person.split(' ')[1]?.toLowerCase() ?? '')
        .getByText('has left')
        .waitFor()
    }
    const gone = async () =>
      (await factsOf(hospital, 'shift-assigned')).filter(({ by }) => by.personId === 'falk').length
    await expect.poll(gone, { timeout: 12_000 }).toBe(3)
    const strip = page.locator('.strip-halt')
    await strip.getByText('Cannot be reached, the most urgent first:').waitFor()
    await strip
      .getByText(/^Between \d\d:\d\d and \d\d:\d\d there are \d+ minutes too many/)
      .first()
      .waitFor({ timeout: 30_000 })
    await strip
      .getByText(
        /^(One more pair of hands .* would bring|Th(is|ese) .* another form, .* would bring|(In the time given, n|N)o single pair)/,
      )
      .first()
      .waitFor({ timeout: 30_000 })
    expect(troubles()).toEqual([])
    await context.close()
  })
})
