import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import type { Browser, Page } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import codes from '../../src/chart/documents/data/medicine-codes.json' with { type: 'json' }
import { Hands, signIn } from '../support/bedside.ts'
import { openBrowser, openBrowserWithCamera, openPage, type Watched } from '../support/browser.ts'
import { inTheMiddle, type Picture, pictureOf, videoOf } from '../support/camera-picture.ts'
import { type Hospital, openHospital } from '../support/hospital.ts'
import { entriesOf, factsOf } from '../support/ledger-seen.ts'
import { BEFORE, stageIs, visit } from '../support/visit-by-hand.ts'

const EXPIRY = `${new Date().getFullYear() + 1}-05-31`
const folder = mkdtempSync(join(tmpdir(), 'mistwright-camera-'))
const VIDEO = join(folder, 'camera.y4m')

let hospital: Hospital
let browser: Browser
beforeAll(async () => {
  hospital = await openHospital()
  hold('code128', 'NOTHING-YET')
  browser = await openBrowserWithCamera(VIDEO)
})
afterAll(async () => {
  await browser?.close()
  await hospital?.close()
  rmSync(folder, { recursive: true, force: true })
})

/** What is held before the camera from its next opening on. */
function hold(bcid: string, text: string): void {
  writeFileSync(VIDEO, videoOf(pictureOf(bcid, text)))
}

type AtTheBedside = Watched & { readonly hands: Hands; readonly mrn: string; readonly gtin: string }

/** Opens a visit as far as the bedside, and finds what the patient's band and the right container carry. */
async function atTheBedside(using: Browser, person: string, patient: RegExp): Promise<AtTheBedside> {
  const watched = await openPage(using, 'tablet')
  const { page } = watched
  await signIn(page, hospital.address, person)
  await page.getByText('all sent').waitFor({ timeout: 30_000 })
  const hands = new Hands(page, 'touch')
  await hands.choose('Whose', 'All units')
  await hands.press(page.getByRole('button', { name: patient }).first())
  await visit.door(hands)
  await stageIs(page, 'Identify')
  await page.getByText('all sent').waitFor({ timeout: 30_000 })
  const facts = (await entriesOf(hospital)).map(({ fact }) => fact)
  const visitId = new URL(page.url()).pathname.split('/').at(-1)
  const about = facts.findLast((fact) => fact.about.visitId === visitId)?.about
  const mrn = facts.flatMap((fact) =>
    fact.kind === 'census-updated' && fact.about.patientId === about?.patientId && fact.body.patch.mrn
      ? [fact.body.patch.mrn]
      : [],
  )[0]
  const [medicine] = facts.flatMap((fact) =>
    fact.kind === 'order-placed' && fact.about.orderId === about?.orderId ? fact.body.order.medicines : [],
  )
  const gtin = codes.products.find(({ medicineId }) => medicineId === medicine?.medicineId)?.gtins[0]
  if (!mrn || !gtin) throw new Error('the hospital does not know this patient or medicine')
  return { ...watched, hands, mrn, gtin }
}

/** Whether any camera of the page is still on. */
const camerasOn = (page: Page) =>
  page.evaluate(() => (globalThis as unknown as { camerasOn: () => number }).camerasOn())

/** Keeps count of what the page was given to look through. */
const WATCH_CAMERAS = `(() => {
  const tracks = []
  const ask = navigator.mediaDevices?.getUserMedia.bind(navigator.mediaDevices)
  if (!ask) return
  navigator.mediaDevices.getUserMedia = async (wanted) => {
    const stream = await ask(wanted)
    tracks.push(...stream.getTracks())
    return stream
  }
  globalThis.camerasOn = () => tracks.filter(({ readyState }) => readyState === 'live').length
})()`

/** The points of the label's code as the screen shows it. */
async function labelOnScreen(page: Page): Promise<Picture> {
  const code = page.getByRole('dialog').getByRole('img', { name: /^Code of the label/ })
  await code.waitFor()
  const { width, height, luma } = await code.evaluate(async (image: HTMLImageElement) => {
    await image.decode()
    const canvas = document.createElement('canvas')
    ;[canvas.width, canvas.height] = [300, 300]
    const context = canvas.getContext('2d')
    if (!context) throw new Error('no canvas')
    context.fillStyle = '#fff'
    context.fillRect(0, 0, 300, 300)
    context.imageSmoothingEnabled = false
    context.drawImage(image, 20, 20, 260, 260)
    const { data } = context.getImageData(0, 0, 300, 300)
    return { width: 300, height: 300, luma: Array.from({ length: 90_000 }, (_, at) => data[at * 4] ?? 0) }
  })
  return { width, height, luma: Uint8Array.from(luma) }
}

/** The width and height of the first page of a PDF [mm]. */
function pageSizeMm(pdf: Buffer): [number, number] {
  const [, wide, high] = /\/MediaBox ?\[0 0 ([\d.]+) ([\d.]+)\]/.exec(pdf.toString('latin1')) ?? []
  return [wide, high].map((points) => Math.round((Number(points) / 72) * 25.4)) as [number, number]
}

describe('the label of a prepared cup', () => {
  it('is printed at its size, stops when it is another’s, and is scanned back from its own picture', async () => {
    const { page, context, hands, troubles } = await atTheBedside(browser, 'birke', /^Visit 4WEST 12/)
    await context.grantPermissions(['camera'])
    await visit.identify(hands, EXPIRY)
    await visit.measureBefore(hands, BEFORE)
    await stageIs(page, 'Prepare')
    await hands.button('Label for the cup')
    const seen = await labelOnScreen(page)
    const label = page.getByRole('dialog').getByRole('article', { name: 'Label' })
    const words = ((await label.textContent()) ?? '').replaceAll(/\s+/g, ' ')
    expect(words).toMatch(
      /born \d{4}-\d\d-\d\d · no\. \w+.*albuterol.* mL in all · to inhale only.*Jonas Birke/,
    )
    expect(words).toMatch(/use by \d+ \w+ \d\d:\d\d/)
    expect(pageSizeMm(await page.pdf({ preferCSSPageSize: true }))).toEqual([74, 45])
    await hands.button('Print the label')
    await page.getByText(/was printed/).waitFor()
    await visit.prepare(hands)
    await visit.setUp(hands)
    await stageIs(page, 'Give')
    expect(await page.getByRole('button', { name: 'Start', exact: true }).count()).toBe(0)

    hold('gs1datamatrix', '(91)MW1.0000000000(92)LK203105(93)OTHER(94)2001011200')
    await hands.button('Scan with the camera')
    const stop = page.getByRole('alertdialog')
    await stop.getByText('This is not the cup of this visit.').waitFor({ timeout: 20_000 })
    const rows = await stop.getByRole('rowheader').allTextContents()
    expect(rows).toEqual(['patient', 'order', 'preparation', 'use by'])
    await hands.button('Scan the right one')

    writeFileSync(VIDEO, videoOf(inTheMiddle(seen)))
    await hands.button('Scan with the camera')
    await page.getByRole('button', { name: 'Start', exact: true }).waitFor({ timeout: 20_000 })
    await visit.start(hands)
    await page.getByText('all sent').waitFor({ timeout: 30_000 })
    const printed = (await factsOf(hospital, 'prepared')).at(-1)?.body.labelCode
    expect((await factsOf(hospital, 'preparation-checked')).at(-1)?.body).toEqual({
      labelCode: printed,
      how: 'scanned',
    })
    expect((await factsOf(hospital, 'identity-refused')).at(-1)?.body.of).toBe('preparation')
    expect(troubles()).toEqual([])
    await context.close()
  })
})

describe('the camera as scanner', () => {
  it('reads wristband and container offline, goes the way of a typing scanner, and is off afterwards', async () => {
    const { page, context, hands, mrn, gtin, troubles } = await atTheBedside(
      browser,
      'amsel',
      /^Visit 3WEST 4/,
    )
    await context.grantPermissions(['camera'])
    await page.evaluate(WATCH_CAMERAS)
    await page.evaluate(() => navigator.serviceWorker.ready.then(() => undefined))
    await context.setOffline(true)

    hold('azteccode', mrn)
    await hands.button('Scan with the camera')
    await page.getByText('Wristband read ✓').waitFor({ timeout: 20_000 })
    await page.getByRole('dialog').waitFor({ state: 'detached' })
    expect(await camerasOn(page)).toBe(0)
    await hands.button(/^Says born/)

    hold('gs1datamatrix', `(01)${gtin}(10)CAM-7(17)${EXPIRY.slice(2).replaceAll('-', '')}`)
    await page.getByRole('radiogroup', { name: 'In the hand' }).waitFor()
    await hands.button('Scan with the camera')
    await stageIs(page, 'Measure')
    expect(await camerasOn(page)).toBe(0)

    await context.setOffline(false)
    await page.getByText('all sent').waitFor({ timeout: 30_000 })
    expect((await factsOf(hospital, 'patient-identified')).at(-1)?.body.identifiers).toMatchObject([
      { what: 'wristband', how: 'scanned', value: mrn },
      { what: 'date of birth', how: 'stated' },
    ])
    expect((await factsOf(hospital, 'medicine-identified')).at(-1)?.body).toMatchObject({
      gtin,
      lot: 'CAM-7',
      expiry: EXPIRY,
      how: 'scanned',
    })
    expect(troubles()).toEqual([])
    await context.close()
  })

  it('stops at the wristband of another patient, and is off when it is closed unread', async () => {
    const { page, context, hands } = await atTheBedside(browser, 'birke', /^Visit 4WEST 7 A/)
    await context.grantPermissions(['camera'])
    await page.evaluate(WATCH_CAMERAS)
    hold('code128', ' ')
    await hands.button('Scan with the camera')
    await page.getByText(/^Hold the wristband still/).waitFor({ timeout: 20_000 })
    expect(await camerasOn(page)).toBe(1)
    await page.getByRole('dialog').getByRole('button', { name: 'Close' }).click()
    expect(await camerasOn(page)).toBe(0)

    hold('qrcode', 'LK203105')
    await hands.button('Scan with the camera')
    const stop = page.getByRole('alertdialog')
    await stop.getByText('This is not the patient of the order.').waitFor({ timeout: 20_000 })
    expect(await stop.getByRole('row', { name: /wristband/ }).textContent()).toContain('LK203105')
    await context.close()
  })

  it('says that it is not allowed, or not there, and what to do', async () => {
    const refused = await atTheBedside(browser, 'corvin', /^Visit 3WEST 11/)
    await refused.context.clearPermissions()
    await refused.hands.button('Scan with the camera')
    const told = refused.page.getByRole('dialog').getByRole('alert')
    await told.getByText('The camera is not allowed.').waitFor({ timeout: 20_000 })
    expect(await told.textContent()).toContain('Use the scanner, or type what is printed.')
    const address = refused.page.url()
    await refused.context.close()

    const without = await openBrowser()
    const { page, context } = await openPage(without, 'tablet')
    await signIn(page, hospital.address, 'corvin')
    await page.getByText('all sent').waitFor({ timeout: 30_000 })
    await page.goto(address)
    await context.grantPermissions(['camera'])
    await page.getByRole('button', { name: 'Scan with the camera' }).click()
    await page.getByText('This device has no camera.').waitFor({ timeout: 20_000 })
    await without.close()
  })
})
