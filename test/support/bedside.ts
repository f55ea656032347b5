import type { Locator, Page } from 'playwright-core'

/** How a person works the screen: presses are counted, number entries apart from them. */
export class Hands {
  presses = 0
  numbers = 0
  readonly page: Page
  readonly #how: 'touch' | 'mouse' | 'keys'
  constructor(page: Page, how: 'touch' | 'mouse' | 'keys') {
    this.page = page
    this.#how = how
  }

  /** Presses what bears the name: taps it, clicks it, or moves the focus to it and presses Enter. */
  async press(target: Locator): Promise<void> {
    this.presses += 1
    await target.waitFor({ state: 'visible' })
    if (this.#how === 'touch') await target.tap()
    else if (this.#how === 'mouse') await target.click()
    else await this.#byKeyboard(target)
  }

  async button(name: string | RegExp): Promise<void> {
    await this.press(this.page.getByRole('button', { name, exact: typeof name === 'string' }))
  }

  /** Chooses a tile by its words inside the group of that name. */
  async choose(group: string, option: string): Promise<void> {
    const radio = this.page
      .getByRole('radiogroup', { name: group })
      .getByRole('radio', { name: option, exact: true })
    if (this.#how === 'keys') {
      this.presses += 1
      await radio.focus()
      await this.page.keyboard.press('Space')
      return
    }
    // The input itself is out of sight; what a person presses is the tile around it.
    await this.press(radio.locator('xpath=ancestor::label'))
  }

  /** Opens the keypad of a figure, types it and takes it. */
  async number(name: string, value: number): Promise<void> {
    this.numbers += 1
    const entry = this.page.getByRole('button', { name: new RegExp(`^${name}`) }).first()
    if (this.#how === 'touch') await entry.tap()
    else if (this.#how === 'mouse') await entry.click()
    else await this.#byKeyboard(entry)
    // The keypad may stand over a sheet that stays open behind it.
    const pad = this.page.getByRole('dialog', { name })
    await pad.waitFor()
    await this.page.keyboard.type(String(value))
    await this.page.keyboard.press('Enter')
    await pad.waitFor({ state: 'hidden' })
  }

  async #byKeyboard(target: Locator): Promise<void> {
    await target.focus()
    await this.page.keyboard.press('Enter')
  }
}

/** What a wedge scanner does: types the code in a fast burst and presses Enter. */
export async function scan(page: Page, code: string): Promise<void> {
  for (const char of code) {
    if (char === '\u001d') await page.keyboard.press('Control+]')
    else await page.keyboard.press(char === ' ' ? 'Space' : char)
  }
  await page.keyboard.press('Enter')
}

const PIN = '284617'

/** Signs in as somebody of the demo, and leaves the PIN for later. */
export async function signIn(page: Page, address: string, person: string): Promise<void> {
  await tellPassword(page, address, person)
  await page.getByRole('button', { name: /^Later/ }).click()
  await page.getByRole('heading', { level: 1 }).waitFor()
}

/** Signs in and keeps a PIN, with which the tablet unlocks without a network too. */
export async function signInWithPin(page: Page, address: string, person: string): Promise<void> {
  await tellPassword(page, address, person)
  for (const enter of ['Next', 'Keep this PIN']) {
    await page.getByRole('button', { name: enter }).waitFor()
    await page.keyboard.type(PIN)
    await page.getByRole('button', { name: enter }).click()
  }
  await page.getByRole('heading', { level: 1 }).waitFor()
}

/** Unlocks with the PIN of `signInWithPin`. */
export async function unlock(page: Page): Promise<void> {
  await page.getByRole('heading', { name: 'Locked' }).waitFor()
  await page.keyboard.type(PIN)
  await page.getByRole('button', { name: 'Unlock' }).click()
}

async function tellPassword(page: Page, address: string, person: string): Promise<void> {
  await page.goto(address)
  await page.getByLabel('Name').fill(person)
  await page.getByLabel('Password').fill(`${person} walks the long ward`)
  await page.getByRole('button', { name: 'Sign in' }).click()
}
