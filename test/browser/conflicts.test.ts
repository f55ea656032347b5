import type { Browser, Page } from 'playwright-core'
import { afterAll, afterEach, beforeAll, describe, expect, it } from 'vitest'
import { Hands, signIn } from '../support/bedside.ts'
import { openBrowser, openPage, type Watched } from '../support/browser.ts'
import { type Hospital, openHospital } from '../support/hospital.ts'
import { factsOf } from '../support/ledger-seen.ts'
import { stopMessage } from '../support/stop-message.ts'
import { BEFORE, visit } from '../support/visit-by-hand.ts'

const EXPIRY = `${new Date().getFullYear() + 1}-05-31`

let hospital: Hospital
let browser: Browser
let tablets: Watched[] = []
beforeAll(async () => {
  hospital = await openHospital()
  browser = await openBrowser()
})
afterEach(async () => {
  const troubles = tablets.flatMap((tablet) => tablet.troubles())
  await Promise.all(tablets.map(({ context }) => context.close()))
  tablets = []
  expect(troubles).toEqual([])
})
afterAll(async () => {
  await browser?.close()
  await hospital?.close()
})

/** A tablet of its own with somebody signed in and everything taken over. */
async function tabletOf(person: string, clockAheadHours = 0): Promise<Watched> {
  const tablet = await openPage(browser, 'tablet')
  tablets.push(tablet)
  if (clockAheadHours !== 0) await tablet.context.addInitScript(clockOffScript(clockAheadHours))
  await signIn(tablet.page, hospital.address, person)
  await allSent(tablet.page)
  // Not before all of the app is on it can its network be cut.
  await tablet.page.evaluate(() => navigator.serviceWorker.ready.then(() => undefined))
  return tablet
}

/** Sets the clock of a page off from the hospital's. */
function clockOffScript(hours: number): string {
  return `(() => {
    const OnTime = Date
    const off = ${hours} * 3_600_000
    globalThis.Date = class extends OnTime {
      constructor(...words) {
        if (words.length === 0) super(OnTime.now() + off)
        else super(...words)
      }
      static now() { return OnTime.now() + off }
    }
  })()`
}

const allSent = (page: Page) => page.getByText('all sent').waitFor({ timeout: 30_000 })

/** Opens the visit of a patient from the round, and goes on as far as the treatment's start. */
async function begin(page: Page, patient: RegExp): Promise<void> {
  const hands = new Hands(page, 'touch')
  await hands.choose('Whose', 'All units')
  await hands.press(page.getByRole('button', { name: patient }).first())
  await visit.door(hands)
  await visit.identify(hands, EXPIRY)
  await visit.measureBefore(hands, BEFORE)
  await visit.prepare(hands)
  await visit.setUp(hands)
  await visit.start(hands)
}

/** The question under Settle, as a person reads it there. */
async function asked(page: Page, words: RegExp): Promise<string> {
  await page.goto(`${hospital.address}/settle`)
  const item = page.locator('.settle-item', { hasText: words })
  await item.first().waitFor({ timeout: 30_000 })
  expect(await item.count()).toBe(1)
  return ((await item.textContent()) ?? '').replaceAll(/\s+/g, ' ')
}

describe('what two devices wrote apart becomes a question on both, and both entries stay', () => {
  it('two people on one dose', async () => {
    const away = await tabletOf('birke')
    const here = await tabletOf('amsel')
    await here.page.goto(`${hospital.address}/settle`)
    await here.page.getByText(/things? to settle/).waitFor()
    // The hospital's own record, weeks of it, holds nothing that does not go together.
    expect(await here.page.locator('.settle-sides').count()).toBe(0)
    await here.page.goto(hospital.address)
    await away.context.setOffline(true)
    await begin(away.page, /^Visit 4WEST 12/)
    await begin(here.page, /^Visit 4WEST 12/)
    await away.context.setOffline(false)
    for (const { page } of [away, here]) {
      const text = await asked(page, /One dose was begun twice/)
      expect(text).toMatch(/Jonas Birke, RRT began the treatment .*Romy Amsel, RRT began the treatment/)
    }
    const dose = (await factsOf(hospital, 'treatment-started')).slice(-2)
    expect(new Set(dose.map(({ about }) => about.orderId)).size).toBe(1)
    expect(new Set(dose.map(({ about }) => about.visitId)).size).toBe(2)
  })

  it('an order stopped while somebody without a network gave it', async () => {
    const away = await tabletOf('corvin')
    const lead = await tabletOf('falk')
    await away.context.setOffline(true)
    const hands = new Hands(away.page, 'touch')
    await begin(away.page, /^Visit 3WEST 11/)
    const visitId = new URL(away.page.url()).pathname.split('/').at(-1)
    await hands.press(away.page.getByRole('button', { name: 'leave the visit' }))
    const place = (await factsOf(hospital, 'message-received')).findLast(({ body }) =>
      /RDE\^O11[\s\S]*3WEST\^11\^/.test(body.raw),
    )
    const now = await lead.page.evaluate(() => Date.now())
    const answer = await lead.page.evaluate(
      async (text) => {
        const reply = await fetch('/api/messages', {
          method: 'POST',
          headers: { 'content-type': 'application/json' },
          body: JSON.stringify({ channel: 'hl7v2', text }),
        })
        return reply.json()
      },
      stopMessage(String(place?.body.raw), now - 20 * 60_000),
    )
    expect(answer.answers).toMatchObject([{ code: 'AA' }])
    await away.context.setOffline(false)
    for (const { page } of [away, lead]) {
      const text = await asked(page, /The order was discontinued when the treatment was begun/)
      expect(text).toMatch(/order discontinued .*Alda Corvin, CRT began the treatment/)
    }
    await away.page.goto(`${hospital.address}/visit/${visitId}`)
    await away.page.getByRole('note').filter({ hasText: 'Given after the order was stopped' }).waitFor()
  })

  it('a co-signature on a note that another device had already corrected', async () => {
    const away = await tabletOf('gerlach')
    const here = await tabletOf('amsel')
    const cosigned = (await factsOf(hospital, 'note-cosigned')).map(({ about }) => about.visitId)
    const waiting = (await factsOf(hospital, 'note-signed')).findLast(
      ({ by, about }) => by.role === 'learner' && !cosigned.includes(about.visitId),
    )
    const address = `${hospital.address}/visit/${waiting?.about.visitId}`
    await away.page.goto(address)
    const cosign = away.page.getByRole('button', { name: /^Co-sign as/ })
    await cosign.waitFor()
    await away.context.setOffline(true)

    await here.page.goto(address)
    await here.page.getByRole('button', { name: 'Correct it' }).click()
    const sheet = here.page.getByRole('dialog')
    await sheet.getByLabel('The note, corrected').fill('Wheeze on both sides, gone after the treatment.')
    await sheet.getByLabel('Why it is corrected').fill('the side was wrong')
    await sheet.getByRole('button', { name: /^Sign the correction as/ }).click()
    await allSent(here.page)

    await cosign.click()
    await away.page.getByText(/^Co-signed by/).waitFor()
    await away.context.setOffline(false)
    for (const { page } of [away, here]) {
      const text = await asked(page, /does not cover a correction/)
      expect(text).toMatch(/Romy Amsel, RRT corrected the note .* co-signed the text before it/)
    }
    // The way out: whoever co-signed reads the corrected note and signs again.
    await away.page.goto(address)
    await away.page.getByText('Wheeze on both sides').first().waitFor()
    await cosign.click()
    await cosign.waitFor({ state: 'hidden' })
    await allSent(away.page)
    await here.page.goto(`${hospital.address}/settle`)
    await here.page.getByText(/does not cover a correction/).waitFor({ state: 'detached', timeout: 30_000 })
  })

  it('two plans given out without knowing of each other', async () => {
    const [one, two] = [await tabletOf('amsel'), await tabletOf('birke')]
    for (const [{ page, context }, call] of [
      [one, /^Plan it: 4WEST 7/],
      [two, /^Plan it: 4WEST 5/],
    ] as const) {
      await page.goto(hospital.address)
      await page.locator('.round-thread').waitFor()
      await context.setOffline(true)
      const hands = new Hands(page, 'touch')
      await hands.button('A call came in')
      await hands.press(page.getByRole('button', { name: call }))
      await page.getByText('The plan has changed.').waitFor()
      await hands.button('Give this plan out')
      await page.getByText(/^Given out by .* at/).waitFor()
    }
    for (const { context } of [one, two]) await context.setOffline(false)
    for (const { page } of [one, two]) {
      await page.getByText('Two plans stand side by side.').waitFor({ timeout: 30_000 })
    }
    const lead = await tabletOf('falk')
    const words = await asked(lead.page, /2 plans of one shift/)
    expect(words).toMatch(/Romy Amsel, RRT gave out a plan .*Jonas Birke, RRT gave out a plan/)
    await lead.page.goto(`${hospital.address}/floor`)
    await lead.page.getByText('Two plans stand side by side.').waitFor({ timeout: 30_000 })
    await new Hands(lead.page, 'touch').button('Give this plan out')
    for (const { page } of [one, two, lead]) {
      await page.getByText(/^Given out by Mirja Falk at/).waitFor({ timeout: 30_000 })
      expect(await page.getByText('Two plans stand side by side.').count()).toBe(0)
    }
    await lead.page.goto(`${hospital.address}/settle`)
    await lead.page.getByRole('heading', { level: 1 }).waitFor()
    expect(await lead.page.getByText('2 plans of one shift').count()).toBe(0)
  })

  it('a tablet whose clock is three hours ahead', async () => {
    const wrong = await tabletOf('esker', 3)
    const lead = await tabletOf('falk')
    await wrong.context.setOffline(true)
    const hands = new Hands(wrong.page, 'touch')
    await hands.choose('Whose', 'All units')
    await hands.press(wrong.page.getByRole('button', { name: /^Visit / }).first())
    await visit.door(hands)
    await hands.press(wrong.page.getByRole('button', { name: 'leave the visit' }))
    await wrong.context.setOffline(false)
    for (const { page } of [wrong, lead]) {
      const text = await asked(page, /The clock was 3 h 0 min ahead of the server’s/)
      expect(text).toMatch(/by the tablet’s clock .* by the server’s clock/)
      const [, written, true_] = /(\d\d:\d\d) Thea Esker.*?(\d\d:\d\d) Thea Esker/.exec(text) ?? []
      const minutes = (clock = '') => Number(clock.slice(0, 2)) * 60 + Number(clock.slice(3))
      expect((minutes(written) - minutes(true_) + 1440) % 1440).toBe(180)
    }
  })
})
