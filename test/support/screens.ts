import type { Page } from 'playwright-core'

/** Every screen that somebody signed in can open, and how to get there. */
export const SCREENS: readonly {
  readonly name: string
  readonly open: (page: Page, address: string) => Promise<void>
}[] = [
  at('round', '/'),
  at('bench', '/bench'),
  at('settle', '/settle'),
  at('handover', '/handover'),
  at('floor', '/floor'),
  at('record', '/record'),
  at('setup', '/setup'),
  at('more', '/more'),
  {
    name: 'visit',
    open: async (page, address) => {
      await page.goto(address)
      await page.getByText('All units').click()
      await page
        .getByRole('button', { name: /^Visit / })
        .last()
        .click()
      await page.getByRole('region', { name: 'Door' }).waitFor()
    },
  },
  {
    name: 'patient',
    open: async (page) => {
      await page.getByRole('button', { name: 'the patient' }).click()
      await page.getByText('Treatments').first().waitFor()
    },
  },
]

function at(name: string, path: string): (typeof SCREENS)[number] {
  return {
    name,
    open: async (page, address) => {
      await page.goto(`${address}${path}`)
      await page.getByRole('heading', { level: 1 }).waitFor()
      // Folding the chart and fetching the screen's code take a moment on a slow machine.
      await page.locator('#main').waitFor()
      await page.waitForTimeout(600)
    },
  }
}
