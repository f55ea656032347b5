import type { Browser, Page } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { PLANNING_POLICY } from '../../src/chart/documents/planning-policy.ts'
import { Hands, signIn } from '../support/bedside.ts'
import { openBrowser, openPage } from '../support/browser.ts'
import { type Hospital, openHospital } from '../support/hospital.ts'
import { factsOf } from '../support/ledger-seen.ts'
import { dragByTouch, middleOf } from '../support/touch.ts'

/** Minutes by which a promise may be moved and still counts as kept. */
const TOLERANCE = PLANNING_POLICY.defaults.promises.toleranceMinutes
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

/** A tablet on which somebody looks at their own round, once it is not drawn anew by what the search finds. */
async function roundOf(person: string) {
  const { page, context, troubles } = await openPage(browser, 'tablet')
  await signIn(page, hospital.address, person)
  await page.goto(hospital.address)
  await page.locator('.round-thread').waitFor()
  await page.getByRole('button', { name: 'Look on' }).waitFor()
  return { page, context, troubles, hands: new Hands(page, 'touch') }
}

const places = (page: Page) => page.locator('.round-thread .stop-who .strong').allTextContents()
const changed = (page: Page) => page.getByText('The plan has changed.')

async function allSent(page: Page): Promise<void> {
  await page.getByText('all sent').waitFor({ timeout: 30_000 })
}

/** Sends somebody to imaging by the sheet, and gives their place. */
async function toImaging(page: Page, hands: Hands, place: string): Promise<void> {
  await hands.button('Someone is away')
  await hands.choose('Where to', 'Imaging')
  await hands.choose('Back in about', '2 hours')
  await hands.press(page.getByRole('button', { name: new RegExp(`^${place}, .* is away$`) }).first())
}

describe('a round by touch', () => {
  it('opens a visit from its knot, and says why it is then', async () => {
    const { page, context, troubles, hands } = await roundOf('amsel')
    await hands.press(page.getByRole('button', { name: /^Why \d\d:\d\d\?/ }).first())
    const sheet = page.getByRole('dialog')
    await sheet.getByText(/^Due \d\d:\d\d\. On time from \d\d:\d\d to \d\d:\d\d/).waitFor()
    await hands.press(sheet.getByRole('button', { name: 'Close' }))
    // A better plan may come at any moment and put somebody else first: whoever is named is visited, wherever they stand.
    const visits = page.locator('.round-thread').getByRole('button', { name: /^Visit / })
    const place = /^Visit ([^,]+),/.exec((await visits.first().getAttribute('aria-label')) ?? '')?.[1]
    if (!place) throw new Error('the first visit does not say where it is')
    await hands.press(page.getByRole('button', { name: `Visit ${place},` }).first())
    await page.waitForURL(/\/visit\//)
    await page.getByText(place).filter({ visible: true }).first().waitFor()
    expect(troubles()).toEqual([])
    await context.close()
  })

  it('puts a call on the record, plans around it at once, and names it when the plan is given out', async () => {
    const { page, context, troubles, hands } = await roundOf('corvin')
    const before = (await factsOf(hospital, 'plan-issued')).length
    await hands.button('A call came in')
    await hands.choose('Needed', 'Now')
    await hands.press(page.getByRole('button', { name: /^Plan it: 4WEST 7/ }))
    await changed(page).waitFor()
    await page
      .getByText(/a call from 4WEST 7/)
      .first()
      .waitFor()
    await hands.button('What changes')
    const sheet = page.getByRole('dialog')
    await sheet.getByText(/^4WEST 7 .* is added at \d\d:\d\d, by /).waitFor()
    await hands.press(sheet.getByRole('button', { name: 'Close' }))
    await hands.button('Give this plan out')
    await page.getByText(/^Given out by Alda Corvin at/).waitFor()
    const issued = async () => (await factsOf(hospital, 'plan-issued')).length
    await expect.poll(issued, { timeout: 12_000 }).toBe(before + 1)
    const [call] = await factsOf(hospital, 'call-received')
    const plans = await factsOf(hospital, 'plan-issued')
    expect(call?.body).toEqual({ from: 'the nurse', need: 'now', note: '' })
    expect(plans.at(-1)?.body.because.kind).toBe('event')
    expect(plans.at(-1)?.body.because.factIds).toContain(call?.id)
    expect(JSON.stringify(plans.at(-1)?.body.routes)).toContain(String(call?.id))
    expect(troubles()).toEqual([])
    await context.close()
  })

  it('plans around a patient who is sent to imaging, and again when the patient is back', async () => {
    const { page, context, troubles, hands } = await roundOf('birke')
    const timeOf = (place: string) =>
      page.locator('.round-thread .stop', { hasText: place }).first().locator('.stop-time').textContent()
    const all = await places(page)
    const place = all.filter((each) => each !== 'Break')[3] ?? ''
    const minuteOf = async () => {
      const [hours, minutes] = ((await timeOf(place)) ?? '').trim().split(':').map(Number)
      return Number(hours) * 60 + Number(minutes)
    }
    const promised = await minuteOf()
    await toImaging(page, hands, place)
    await page
      .getByText(new RegExp(`${place} left the unit \\(imaging\\), back about`))
      .first()
      .waitFor()
    await expect.poll(minuteOf, { timeout: 12_000 }).toBeGreaterThan(promised + TOLERANCE)
    await hands.button('Someone is away')
    await hands.press(page.getByRole('button', { name: new RegExp(`^${place}, .* is back$`) }).first())
    // Nothing else happened: what was promised holds again, but for the minutes that went by without a visit begun.
    await expect.poll(minuteOf, { timeout: 12_000 }).toBeLessThanOrEqual(promised + TOLERANCE)
    expect(await minuteOf()).toBeGreaterThanOrEqual(promised - TOLERANCE)
    expect(troubles()).toEqual([])
    await context.close()
  })

  it('takes a knot by the finger and lets it go in front of the one before', async () => {
    const { page, context, troubles, hands } = await roundOf('dorn')
    const knots = page.locator('.stop:not(.stop-break)[data-movable="true"] .stop-mark')
    const sheet = page.getByRole('dialog')
    const titles: string[] = []
    for (let at = 1; at < (await knots.count()); at += 1) {
      // The thread is not to be drawn anew between measuring and taking hold.
      await page.getByRole('button', { name: 'Look on' }).waitFor()
      const from = await middleOf(knots.nth(at))
      await dragByTouch(page, from, { x: from.x, y: await aboveOf(page, at - 1) })
      await sheet.getByRole('button', { name: /^Leave it/ }).waitFor()
      titles.push((await sheet.getByRole('heading').first().textContent()) ?? '')
      if (titles.at(-1) !== 'That cannot be done') break
      await sheet.getByText(/does not fit there: it may begin from \d\d:\d\d to \d\d:\d\d/).waitFor()
      await hands.press(sheet.getByRole('button', { name: 'Leave it' }))
      await sheet.waitFor({ state: 'hidden' })
    }
    expect(titles.at(-1)).toMatch(/: Piet Dorn at \d\d:\d\d\.$/)
    await hands.press(sheet.getByRole('button', { name: 'Give this plan out' }))
    await page.locator('.stop-pinned').first().waitFor()
    await expect
      .poll(async () => (await factsOf(hospital, 'visit-pinned')).length, { timeout: 12_000 })
      .toBe(1)
    const [pin] = await factsOf(hospital, 'visit-pinned')
    expect(pin?.body).toMatchObject({ personId: 'dorn', why: 'placed by hand' })
    expect((await factsOf(hospital, 'plan-issued')).at(-1)?.body.because.kind).toBe('by hand')
    expect(troubles()).toEqual([])
    await context.close()
  })

  it('does by keyboard what dragging does, and takes the pin off again', async () => {
    const { page, context, troubles } = await roundOf('esker')
    const hands = new Hands(page, 'keys')
    const sheet = page.getByRole('dialog')
    const whys = page.getByRole('button', { name: /^Why \d\d:\d\d\?/ })
    await hands.press(whys.last())
    await hands.press(sheet.getByRole('button', { name: /^Pin it at/ }))
    await hands.press(sheet.getByRole('button', { name: 'Give this plan out' }))
    await page.locator('.stop-pinned').first().waitFor()
    await hands.press(whys.last())
    await hands.press(sheet.getByRole('button', { name: 'Take the pin off' }))
    await hands.press(sheet.getByRole('button', { name: 'Give this plan out' }))
    await page.locator('.stop-pinned').waitFor({ state: 'detached' })
    const taken = async () =>
      (await factsOf(hospital, 'visit-unpinned')).filter(({ by }) => by.personId === 'esker').length
    await expect.poll(taken, { timeout: 12_000 }).toBe(1)
    expect(troubles()).toEqual([])
    await context.close()
  })
})

/** A little above the middle of a knot's row: let go there, something stands in front of it. */
async function aboveOf(page: Page, at: number): Promise<number> {
  const box = await page.locator('.stop:not(.stop-break)[data-movable="true"]').nth(at).boundingBox()
  return (box?.y ?? 0) + 4
}

describe('a round without a network', () => {
  it('takes calls and absences, plans around them, gives plans out, and sends it all later', async () => {
    const { page, context, troubles, hands } = await roundOf('amsel')
    await allSent(page)
    await page.evaluate(() => navigator.serviceWorker.ready.then(() => undefined))
    await page.reload()
    await page.locator('.round-thread').waitFor()
    await allSent(page)
    const known = (await factsOf(hospital, 'plan-issued')).length
    await context.setOffline(true)
    await hands.button('A call came in')
    await hands.press(page.getByRole('button', { name: /^Plan it: 4WEST 5/ }))
    await changed(page).waitFor()
    const place = (await places(page)).filter((each) => each !== 'Break')[2] ?? ''
    await toImaging(page, hands, place)
    await page
      .getByText(new RegExp(`${place} left the unit`))
      .first()
      .waitFor()
    await hands.press(page.getByRole('button', { name: /^Why \d\d:\d\d\?/ }).last())
    const sheet = page.getByRole('dialog')
    await hands.press(sheet.getByRole('button', { name: /^Pin it at/ }))
    await hands.press(sheet.getByRole('button', { name: 'Give this plan out' }))
    await page.getByText(/^Given out by Romy Amsel at/).waitFor()
    await page
      .getByText(/\d+ to send/)
      .filter({ visible: true })
      .first()
      .waitFor()
    await context.setOffline(false)
    await allSent(page)
    expect((await factsOf(hospital, 'plan-issued')).length).toBe(known + 1)
    expect((await factsOf(hospital, 'call-received')).map(({ by }) => by.personId)).toContain('amsel')
    expect((await factsOf(hospital, 'patient-away')).map(({ by }) => by.personId)).toContain('amsel')
    expect(troubles()).toEqual([])
    await context.close()
  })
})
