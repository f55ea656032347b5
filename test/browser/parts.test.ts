import { fileURLToPath } from 'node:url'
import type { Browser, Page } from 'playwright-core'
import { build, type PreviewServer, preview } from 'vite'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { accessibilityProblems, openBrowser, openPage, type Size } from '../support/browser.ts'

const configFile = fileURLToPath(new URL('../gallery/vite.config.ts', import.meta.url))
let browser: Browser
let server: PreviewServer
let address: string

beforeAll(async () => {
  await build({ configFile, logLevel: 'error' })
  server = await preview({
    configFile,
    logLevel: 'error',
    preview: { host: '127.0.0.1', port: 4811, strictPort: false },
  })
  address = server.resolvedUrls?.local[0] ?? ''
  browser = await openBrowser()
})

afterAll(async () => {
  await browser?.close()
  await server?.close()
})

/** Opens a page of the gallery; closes it again, and fails if anything was written to its console as an error. */
async function on(
  path: string,
  act: (page: Page) => Promise<void>,
  look: { size?: Size; theme?: 'day' | 'night' } = {},
): Promise<void> {
  const { page, context, troubles } = await openPage(browser, look.size ?? 'tablet', look.theme ?? 'day')
  try {
    await context.addInitScript((theme) => {
      localStorage.setItem('mistwright theme', JSON.stringify(theme))
    }, look.theme ?? 'day')
    await page.goto(new URL(path, address).href)
    await page.locator('h1').first().waitFor()
    await act(page)
    expect(troubles()).toEqual([])
  } finally {
    await context.close()
  }
}

const widerThanScreen = (page: Page) =>
  page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth)

describe('the parts', () => {
  it.each([
    ['day', 'tablet'],
    ['night', 'phone'],
  ] as const)('break no rule that axe knows, by %s on a %s', async (theme, size) => {
    for (const path of ['/', '/bench', '/settle', '/more']) {
      const calm = async (page: Page) =>
        expect([path, ...(await accessibilityProblems(page))]).toEqual([path])
      await on(path, calm, { size, theme })
    }
  })

  it.each(['ltr', 'rtl'])('need no sideways scrolling at 320 px, %s', async (dir) => {
    for (const path of ['/', '/bench', '/settle', '/more']) {
      await on(path, async (page) => {
        await page.setViewportSize({ width: 320, height: 640 })
        await page.evaluate((way) => {
          document.documentElement.dir = way
        }, dir)
        expect([path, await widerThanScreen(page)]).toEqual([path, 0])
      })
    }
  })

  it('are large enough to press: 44 px', async () => {
    await on('/', async (page) => {
      const small = await page.locator('main .button, main .tile, main .number-entry').evaluateAll((all) =>
        all
          .map((element) => element.getBoundingClientRect())
          .filter(({ width, height }) => width < 44 || height < 44)
          .map(({ width, height }) => `${width} × ${height}`),
      )
      expect(small).toEqual([])
    })
  })
})

describe('the keypad', () => {
  const heart = (page: Page) => page.getByRole('button', { name: /^Heart rate/ })
  const kept = async (page: Page) =>
    JSON.parse((await page.locator('[data-values]').getAttribute('data-values')) ?? '')
  const slowly = { delay: 80 }

  it('takes a usual figure by keyboard alone', async () => {
    await on('/', async (page) => {
      await heart(page).focus()
      await page.keyboard.press('Enter')
      await page.keyboard.type('92', slowly)
      await page.keyboard.press('Enter')
      await page.getByRole('dialog').waitFor({ state: 'detached' })
      expect(await kept(page)).toMatchObject({ heart: 92 })
    })
  })

  it('takes it by its keys, and takes back the last digit', async () => {
    await on('/', async (page) => {
      await heart(page).tap()
      for (const key of ['9', '3', 'take back the last digit', '2']) {
        await page.getByRole('dialog').getByRole('button', { name: key, exact: true }).tap()
      }
      await page.getByRole('dialog').getByRole('button', { name: 'Enter', exact: true }).tap()
      await page.getByRole('dialog').waitFor({ state: 'detached' })
      expect(await kept(page)).toMatchObject({ heart: 92 })
    })
  })

  it('asks about an odd one, and a second Enter is no yes', async () => {
    await on('/', async (page) => {
      await heart(page).tap()
      await page.keyboard.type('260', slowly)
      await page.keyboard.press('Enter')
      await page.getByText('Heart rate 260/min: outside 30 to 220').waitFor()
      expect(await accessibilityProblems(page)).toEqual([])
      await page.keyboard.press('Enter')
      await page.getByText('Heart rate 260/min: outside 30 to 220').waitFor({ state: 'detached' })
      expect(await kept(page)).toMatchObject({ heart: null })
      await page.keyboard.press('Enter')
      await page.getByRole('button', { name: 'Yes, 260 is right' }).tap()
      expect(await kept(page)).toMatchObject({ heart: 260 })
    })
  })

  it('never takes the impossible, and Escape leaves things as they were', async () => {
    await on('/', async (page) => {
      await heart(page).tap()
      await page.keyboard.type('999', slowly)
      await page.keyboard.press('Enter')
      await page.getByText('999 is not taken').waitFor()
      await page.keyboard.press('Escape')
      await page.getByRole('dialog').waitFor({ state: 'detached' })
      expect(await kept(page)).toMatchObject({ heart: null })
    })
  })
})

describe('a scanner that types', () => {
  const scanned = (page: Page) => page.locator('[data-scanned]').getAttribute('data-scanned')
  /** Types as a scanner does, every key in one burst and the group separator as Ctrl+]; gives what Enter met. */
  const scan = (page: Page, code: string) =>
    page.evaluate((typed) => {
      let at = performance.now()
      const press = (key: string, ctrlKey = false) => {
        const down = { key, ctrlKey, bubbles: true, cancelable: true }
        const event = new KeyboardEvent('keydown', down)
        // The scanner's own pace, 8 ms a key, however slowly this machine draws.
        at += 8
        Object.defineProperty(event, 'timeStamp', { value: at })
        const passed = document.activeElement?.dispatchEvent(event)
        if (passed && !ctrlKey && key.length === 1) document.execCommand('insertText', false, key)
        document.activeElement?.dispatchEvent(new KeyboardEvent('keyup', down))
        return passed
      }
      for (const char of typed) char === '\u001d' ? press(']', true) : press(char)
      return press('Enter') ? 'Enter got through' : 'Enter was kept back'
    }, code)

  it('is heard while a field has the focus, and the field keeps what it had', async () => {
    await on('/', async (page) => {
      const note = page.getByLabel('Note')
      await note.pressSequentially('better', { delay: 80 })
      await page.waitForTimeout(100)
      expect(await scan(page, '0112345678901231\u001d10A7')).toBe('Enter was kept back')
      await expect.poll(() => scanned(page)).toBe('0112345678901231\u001d10A7')
      expect(await note.inputValue()).toBe('better')
    })
  })

  it('is heard while a button has the focus, and presses nothing', async () => {
    await on('/', async (page) => {
      await page.getByRole('button', { name: /^Heart rate/ }).focus()
      expect(await scan(page, 'WB 12345')).toBe('Enter was kept back')
      await expect.poll(() => scanned(page)).toBe('WB 12345')
      expect(await page.getByRole('dialog').count()).toBe(0)
    })
  })
})

describe('the lock', () => {
  const lock = (page: Page) =>
    page.evaluate(() => (window as unknown as { gallerySession: { lock(): void } }).gallerySession.lock())

  it('covers everything, an open sheet too, and gives it back as it was', async () => {
    await on('/settle', async (page) => {
      await page.getByRole('button', { name: 'Something is wrong' }).tap()
      await page.getByText('Say what you see').waitFor()
      await lock(page)
      await page.getByRole('heading', { name: 'Locked' }).waitFor()
      expect(await accessibilityProblems(page)).toEqual([])
      expect(await page.getByText('Anselm').isVisible()).toBe(false)
      expect(await page.getByText('Say what you see').isVisible()).toBe(false)
      expect(await page.getByRole('timer').getAttribute('aria-label')).toMatch(
        /^Treatment 1: 6 minutes \d+ seconds left$/,
      )
      await page.keyboard.type('402817', { delay: 80 })
      await page.keyboard.press('Enter')
      await page.getByText('Say what you see').waitFor()
    })
  })

  it('keeps the keyboard inside, and says what was wrong with a PIN', async () => {
    await on('/', async (page) => {
      await lock(page)
      for (let press = 0; press < 30; press += 1) {
        await page.keyboard.press('Tab')
        expect(
          await page.evaluate(
            () => document.activeElement === document.body || !!document.activeElement?.closest('#over-all'),
          ),
        ).toBe(true)
      }
      await page.getByLabel('PIN', { exact: true }).focus()
      await page.keyboard.type('111111', { delay: 80 })
      await page.keyboard.press('Enter')
      await page.getByRole('alert').filter({ hasText: 'That is not your PIN.' }).waitFor()
    })
  })
})

describe('the frame', () => {
  it('offers a new version, but not while a visit is open', async () => {
    await on('/?update', async (page) => {
      await page.getByRole('button', { name: 'Use it now' }).waitFor()
    })
    await on('/settle?update', async (page) => {
      await page.getByText('It waits until this is done: a visit is open.').waitFor()
      expect(await page.getByRole('button', { name: 'Use it now' }).count()).toBe(0)
    })
  })

  it('goes on reading at the heading of the screen that was opened', async () => {
    await on('/', async (page) => {
      await page.getByRole('link', { name: 'Bench' }).click()
      await expect.poll(() => page.evaluate(() => document.activeElement?.textContent)).toBe('Pictures')
      expect(await page.title()).toBe('Bench · Mistwright')
    })
  })

  it('says what happened, what was kept and what to do when a screen fails', async () => {
    const { page, context } = await openPage(browser, 'tablet')
    await page.goto(new URL('/fails', address).href)
    await page.getByRole('heading', { name: 'This screen stopped working.' }).waitFor()
    await page.getByText('Everything that was charted').waitFor()
    expect(await accessibilityProblems(page)).toEqual([])
    await page.getByRole('link', { name: 'More' }).click()
    await page.getByRole('heading', { name: 'Sending' }).waitFor()
    await context.close()
  })
})
