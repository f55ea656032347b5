import { execFileSync } from 'node:child_process'
import { existsSync, mkdirSync, renameSync } from 'node:fs'
import { join } from 'node:path'
import type { Browser, Page } from 'playwright-core'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { openDatabase } from '../../src/store/database.ts'
import { Ledger } from '../../src/store/ledger.ts'
import { verifyLedger } from '../../src/store/verify.ts'
import { Hands, signIn } from '../support/bedside.ts'
import { openBrowser, openPage } from '../support/browser.ts'
import { type Hospital, openHospital } from '../support/hospital.ts'

const HERE = 'marrowby'

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

const mistwright = (...words: string[]) =>
  execFileSync(process.execPath, ['dist/cli/mistwright.js', ...words], { encoding: 'utf8' })

/** Charts that somebody is away, and waits until the server has it: the page may still say that what came before is sent. */
async function chartAway(page: Page, personId: string): Promise<void> {
  const before = (await charted(personId)).ids.length
  const hands = new Hands(page, 'touch')
  await hands.button('Someone is away')
  await hands.press(page.getByRole('button', { name: /, .+ is away$/ }).first())
  await expect.poll(async () => (await charted(personId)).ids.length, { timeout: 30_000 }).toBe(before + 1)
  await page.getByText('all sent').waitFor({ timeout: 30_000 })
}

/** What a person charted, as ids with how often each is there, and whether the chain holds. */
async function charted(personId: string) {
  const ledger = new Ledger(openDatabase(join(hospital.folder, 'mistwright.db')))
  try {
    const ids: string[] = []
    for await (const { text } of ledger.entries(HERE)) {
      const { id, by, kind } = JSON.parse(text)
      if (by.personId === personId && kind === 'patient-away') ids.push(id)
    }
    return { ids, report: await verifyLedger(ledger, HERE) }
  } finally {
    await ledger.close()
  }
}

it('a tablet brings back to a ledger from an older copy what was charted since, once, and says so', async () => {
  const early = await openPage(browser, 'tablet')
  await signIn(early.page, hospital.address, 'amsel')
  await chartAway(early.page, 'amsel')
  const copy = join(hospital.folder, 'copies', 'copy.db')
  mkdirSync(join(hospital.folder, 'copies'))
  mistwright('backup', copy, '--data', hospital.folder)
  // Signed in after the copy was made: the server will know neither this session nor this tablet.
  const late = await openPage(browser, 'tablet')
  await signIn(late.page, hospital.address, 'birke')
  await chartAway(early.page, 'amsel')
  await chartAway(late.page, 'birke')
  const before = { amsel: (await charted('amsel')).ids, birke: (await charted('birke')).ids }
  expect([before.amsel.length, before.birke.length]).toEqual([2, 1])

  await hospital.kill()
  for (const file of ['mistwright.db', 'mistwright.db-wal', 'mistwright.db-shm']) {
    const path = join(hospital.folder, file)
    if (existsSync(path)) renameSync(path, join(hospital.folder, 'copies', file))
  }
  expect(mistwright('restore', copy, '--data', hospital.folder)).toContain('whole')
  expect([(await charted('amsel')).ids.length, (await charted('birke')).ids.length]).toEqual([1, 0])
  // A browser that is killed may lose what it keeps beside its databases: the name of the tablet, for one.
  await late.page.evaluate(() => localStorage.removeItem('mistwright device'))
  await hospital.restart()

  await late.page.getByRole('heading', { name: 'Locked' }).waitFor({ timeout: 60_000 })
  await late.page.getByLabel('Password').fill('birke walks the long ward')
  await late.page.getByRole('button', { name: 'Unlock' }).click()
  await expect.poll(async () => (await charted('birke')).ids, { timeout: 60_000 }).toEqual(before.birke)
  await expect.poll(async () => (await charted('amsel')).ids, { timeout: 60_000 }).toEqual(before.amsel)
  expect((await charted('amsel')).report).toMatchObject({ kind: 'whole' })
  for (const { page } of [early, late]) {
    await page.getByRole('link', { name: 'More' }).click()
    await page.getByText(/brought back from an older copy/).waitFor()
    await page.getByText('Everything written here is sent.').waitFor()
  }
  expect([...early.troubles(), ...late.troubles()]).toEqual([])
}, 240_000)
