import type { Browser, Page } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it, vi } from 'vitest'
import { readRuns } from '../../src/api/past-told.ts'
import { Learned } from '../../src/api/schemas.ts'
import { chartedRuns } from '../../src/chart/folds/charted-runs.ts'
import { signIn, signInWithPin, unlock } from '../support/bedside.ts'
import { openBrowser, openPage } from '../support/browser.ts'
import { type Hospital, openHospital } from '../support/hospital.ts'

let hospital: Hospital
let browser: Browser
/** From how many runs each cup was learned, by what the server tells. */
const runsTold = new Set<number>()
beforeAll(async () => {
  hospital = await openHospital()
  browser = await openBrowser()
  const { page, context } = await openPage(browser, 'tablet')
  await signIn(page, hospital.address, 'falk')
  const past = await vi.waitFor(
    async () => {
      const reply = await page.evaluate(() => fetch('/api/learned').then((answer) => answer.json()))
      const told = Learned.parse(reply).past
      if (told === null) throw new Error('still being counted')
      return told
    },
    { timeout: 20_000, interval: 200 },
  )
  const runs = readRuns(past)
  for (const cup of new Set(runs.map(({ cupId }) => cupId)))
    runsTold.add(chartedRuns([], cup, '2999-01-01T00:00:00.000Z', runs).runs.length)
  await context.close()
}, 120_000)
afterAll(async () => {
  await browser?.close()
  await hospital?.close()
})

/**
 * Lets no fact about a visit come to this tablet, as where none of them concerns it. The last of a page comes: by it
 * the tablet goes on; one fact alone, without its opening, is no visit.
 */
const withoutVisits = (): void => {
  const through = window.fetch.bind(window)
  window.fetch = async (input, init) => {
    const reply = await through(input, init)
    const path = new URL(input instanceof Request ? input.url : input, location.href).pathname
    if (!path.startsWith('/api/pull') || !reply.ok) return reply
    const page = await reply.json()
    page.entries = page.entries?.filter(
      (entry: { fact: { about: { visitId?: string } } }) => entry.fact.about.visitId === undefined,
    )
    return new Response(JSON.stringify(page), { status: 200 })
  }
}

/** What the bench says that its set-ups were learned from. */
async function saidAtTheBench(page: Page): Promise<string[]> {
  await page.getByRole('heading', { name: 'How the run goes' }).waitFor()
  const remarks = await page.locator('.bench-remark').allTextContents()
  return remarks.filter((said) => /^from /.test(said))
}

async function tabletWithoutVisits() {
  const watched = await openPage(browser, 'tablet')
  await watched.page.addInitScript(withoutVisits)
  await signInWithPin(watched.page, hospital.address, 'falk')
  await watched.page.evaluate(() => navigator.serviceWorker.ready.then(() => undefined))
  await watched.page.getByText('all sent').waitFor()
  return watched
}

describe('a tablet that holds none of the past visits', () => {
  it('forecasts from the runs that the server tells of, and still does after a reload without a network', async () => {
    const { page, context, troubles } = await tabletWithoutVisits()
    await page.goto(`${hospital.address}/bench`)
    await expect
      .poll(async () => (await saidAtTheBench(page)).some((said) => / runs? here$/.test(said)), {
        timeout: 15_000,
      })
      .toBe(true)
    const said = await saidAtTheBench(page)
    expect(said.length).toBeGreaterThan(0)
    for (const words of said)
      expect([...runsTold]).toContain(Number(/^from (\d+) runs? here$/.exec(words)?.[1]))

    await context.setOffline(true)
    await page.reload()
    await unlock(page)
    await expect.poll(() => saidAtTheBench(page)).toEqual(said)
    expect(troubles()).toEqual([])
    await context.close()
  })

  it('forecasts from published figures with a server that tells of none', async () => {
    const { page, context, troubles } = await openPage(browser, 'tablet')
    await page.route('**/api/learned', (route) => route.fulfill({ status: 404, body: '{}' }))
    await page.addInitScript(withoutVisits)
    await signIn(page, hospital.address, 'amsel')
    await page.getByText('all sent').waitFor()
    await page.goto(`${hospital.address}/bench`)
    const said = await saidAtTheBench(page)
    expect(new Set(said)).toEqual(new Set(['from published figures']))
    expect(troubles()).toEqual([])
    await context.close()
  })
})
