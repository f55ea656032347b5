import type { Browser } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { Hands, scan, signIn } from '../support/bedside.ts'
import { openBrowser, openPage, type Watched } from '../support/browser.ts'
import { type Hospital, openHospital } from '../support/hospital.ts'
import { AFTER, BEFORE, stageIs, visit } from '../support/visit-by-hand.ts'

/** A date well ahead, for a container in the hand. */
const EXPIRY = `${new Date().getFullYear() + 1}-05-31`

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

/** Signs a therapist in and opens a visit that nobody has begun: an adult who can hold a mouthpiece. */
async function atTheDoor(
  how: 'touch' | 'mouse' | 'keys',
  patient: RegExp,
  person = 'falk',
): Promise<{ watched: Watched; hands: Hands }> {
  const watched = await openPage(browser, 'tablet')
  const { page } = watched
  await signIn(page, hospital.address, person)
  const hands = new Hands(page, how)
  await hands.choose('Whose', 'All units')
  await hands.press(page.getByRole('button', { name: patient }).first())
  return { watched, hands }
}

async function untilGiven(hands: Hands): Promise<void> {
  await visit.door(hands)
  await visit.identify(hands, EXPIRY)
  await visit.measureBefore(hands, BEFORE)
  await visit.prepare(hands)
  await visit.setUp(hands)
  await visit.start(hands)
}

describe('a whole visit, from the round to the signed note', () => {
  it('is done by touch on a tablet in under 60 presses besides number entries', async () => {
    const { watched, hands } = await atTheDoor('touch', /^Visit 4WEST 12/)
    let reloads = 0
    watched.page.on('load', () => {
      reloads += 1
    })
    await untilGiven(hands)
    await visit.finish(hands)
    await visit.after(hands, AFTER)
    await visit.sign(hands)
    expect(hands.presses).toBeLessThan(60)
    expect(hands.numbers).toBe(12)
    expect(reloads).toBe(0)
    expect(watched.troubles()).toEqual([])
    await watched.context.close()
  })

  it('is done by keyboard alone', async () => {
    const { watched, hands } = await atTheDoor('keys', /^Visit 3STEP 3/)
    await untilGiven(hands)
    await visit.finish(hands)
    await visit.after(hands, AFTER)
    await visit.sign(hands)
    expect(watched.troubles()).toEqual([])
    await watched.context.close()
  })
})

describe('a treatment that must stop', () => {
  it('stops on a heart rate up by more than 20/min, with what was left and so what was given at most', async () => {
    const { watched, hands } = await atTheDoor('touch', /^Visit 4WEST 5/, 'lindt')
    const { page } = watched
    await untilGiven(hands)
    await hands.number('Heart rate', BEFORE.heart + 21)
    await page
      .getByRole('alertdialog')
      .getByText(/risen by more than 20/)
      .waitFor()
    await hands.button('Stop the treatment')
    await hands.number('Left in the cup', 1.5)
    await page.getByText(/At most 1\.25 mg of .*albuterol.* left the cup/).waitFor()
    await hands.button('The treatment is stopped')
    await stageIs(page, 'After')
    expect(await page.getByText('stopped after').count()).toBe(1)
    expect(watched.troubles()).toEqual([])
    await watched.context.close()
  })

  it('says nothing at exactly 20/min', async () => {
    const { watched, hands } = await atTheDoor('touch', /^Visit 4WEST 3 /, 'moor')
    await untilGiven(hands)
    await hands.number('Heart rate', BEFORE.heart + 20)
    expect(await watched.page.getByRole('alertdialog').count()).toBe(0)
    await watched.context.close()
  })
})

describe('at identification', () => {
  it('a wrong wristband takes the screen, names the difference, and stays on the record', async () => {
    const { watched, hands } = await atTheDoor('touch', /^Visit 3WEST 4/)
    const { page } = watched
    await visit.door(hands)
    await stageIs(page, 'Identify')
    await scan(page, 'LK203105')
    const stop = page.getByRole('alertdialog')
    await stop.getByText('This is not the patient of the order.').waitFor()
    expect(await stop.getByRole('row', { name: /wristband/ }).textContent()).toContain('LK203105')
    await hands.button('Identify again')
    await page.goto(`${hospital.address}/record`)
    await page
      .getByRole('button', { name: /^Open identity-refused/ })
      .first()
      .waitFor()
    expect(watched.troubles()).toEqual([])
    await watched.context.close()
  })
})

describe('a signed note', () => {
  it('is corrected by a new entry, with a reason, both readable', async () => {
    const { watched, hands } = await atTheDoor('mouse', /^Visit 4WEST 15/, 'gerlach')
    const { page } = watched
    await untilGiven(hands)
    await visit.finish(hands)
    await visit.after(hands, AFTER)
    await visit.sign(hands)
    await hands.button('Correct it')
    const sheet = page.getByRole('dialog')
    const keep = page.getByRole('button', { name: /^Sign the correction/ })
    await sheet.getByLabel('The note, corrected').fill('Peak flow after was 245, not 250.')
    expect(await keep.isDisabled()).toBe(true)
    await sheet.getByLabel('Why it is corrected').fill('read the meter wrongly')
    await hands.press(keep)
    await page.getByText('Peak flow after was 245, not 250.').first().waitFor()
    await page.getByText('As first signed, and 1 correction').click()
    expect(await page.getByText('Corrected: read the meter wrongly').count()).toBe(1)
    expect(await page.getByText(/^After: heart 90/).count()).toBeGreaterThan(0)
    expect(watched.troubles()).toEqual([])
    await watched.context.close()
  })
})

describe('a running treatment', () => {
  it('goes on from facts after the server was killed and started again', async () => {
    const { watched, hands } = await atTheDoor('touch', /^Visit 3WEST 11/)
    const { page } = watched
    await untilGiven(hands)
    await page.getByText('all sent').waitFor()
    await hospital.kill()
    await page.waitForTimeout(1500)
    await hospital.restart()
    await page.reload()
    await page.getByRole('region', { name: 'Give' }).waitFor()
    const seconds = (text: string | null) => Number(/(\d+) second/.exec(text ?? '')?.[1] ?? 0)
    const timer = page.getByRole('timer').first()
    expect(seconds(await timer.getAttribute('aria-label'))).toBeGreaterThan(1)
    await visit.finish(hands)
    await visit.after(hands, AFTER)
    await visit.sign(hands)
    await page.getByText('all sent').waitFor()
    expect(watched.troubles()).toEqual([])
    await watched.context.close()
  })
})
