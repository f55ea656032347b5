import { existsSync } from 'node:fs'
import { AxeBuilder } from '@axe-core/playwright'
import {
  type Browser,
  type BrowserContext,
  type BrowserContextOptions,
  chromium,
  type LaunchOptions,
  type Page,
} from 'playwright-core'
import { clockScript } from './hospital-clock.ts'

/** Screens that the interface is made for: tablet first, then workstation, then phone. */
export const SIZES = {
  tablet: { width: 820, height: 1180 },
  workstation: { width: 1280, height: 800 },
  phone: { width: 390, height: 844 },
} as const
export type Size = keyof typeof SIZES

/** The Chromium that the tests drive: the one named in CHROMIUM, or Debian's. */
export async function openBrowser(): Promise<Browser> {
  return chromium.launch(launchOptions())
}

/** The same with a camera that shows the video in a file, read anew each time the camera is opened. */
export async function openBrowserWithCamera(video: string): Promise<Browser> {
  const options = launchOptions()
  const camera = ['--use-fake-device-for-media-stream', `--use-file-for-fake-video-capture=${video}`]
  return chromium.launch({ ...options, args: [...(options.args ?? []), ...camera] })
}

/** A page of a tablet whose storage lies in a folder, so that it outlives the browser. */
export async function openKeptPage(folder: string): Promise<{ page: Page; context: BrowserContext }> {
  const context = await chromium.launchPersistentContext(folder, {
    ...launchOptions(),
    ...contextOptions('tablet', 'day'),
  })
  context.setDefaultTimeout(PATIENCE_MS)
  await context.addInitScript(clockScript)
  return { context, page: context.pages()[0] ?? (await context.newPage()) }
}

function launchOptions(): LaunchOptions {
  const executablePath = process.env.CHROMIUM ?? '/usr/bin/chromium'
  if (!existsSync(executablePath)) {
    throw new Error(
      'No Chromium at /usr/bin/chromium. On Debian: apt-get install chromium; or name one in CHROMIUM.',
    )
  }
  const asRoot = process.getuid?.() === 0
  return {
    executablePath,
    args: [
      ...(asRoot ? ['--no-sandbox'] : []),
      '--disable-background-networking',
      '--disable-component-update',
      '--disable-dev-shm-usage',
      '--disable-gpu',
    ],
  }
}

/** How long a page may take to show what is asked for [ms]. */
const PATIENCE_MS = 12_000

function contextOptions(size: Size, theme: 'day' | 'night'): BrowserContextOptions {
  return {
    viewport: SIZES[size],
    hasTouch: size !== 'workstation',
    colorScheme: theme === 'night' ? 'dark' : 'light',
    timezoneId: 'America/Chicago',
    locale: 'en-US',
  }
}

/** A page of its own with everything that went wrong on it. */
export type Watched = {
  readonly page: Page
  readonly context: BrowserContext
  /** Console errors and failed pages so far. Asked for at the end of every test. */
  readonly troubles: () => readonly string[]
}

/** Opens a page that is watched: nothing may be written to the console as an error. */
export async function openPage(
  browser: Browser,
  size: Size,
  theme: 'day' | 'night' = 'day',
): Promise<Watched> {
  const context = await browser.newContext(contextOptions(size, theme))
  context.setDefaultTimeout(PATIENCE_MS)
  await context.addInitScript(clockScript)
  const page = await context.newPage()
  const troubles: string[] = []
  page.on('console', (message) => {
    // A server that is down on purpose is the test's own doing, and said by the app in words.
    if (message.type() === 'error' && !/net::ERR|Failed to load resource/.test(message.text()))
      troubles.push(message.text())
  })
  page.on('pageerror', (error) => troubles.push(String(error)))
  return { page, context, troubles: () => troubles }
}

/** Rules broken on the page as it is now, in words; empty when axe finds none. */
export async function accessibilityProblems(page: Page): Promise<string[]> {
  const { violations } = await new AxeBuilder({ page })
    .withTags(['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'])
    .analyze()
  return violations.flatMap(({ id, help, nodes }) =>
    nodes.map((node) => `${id}: ${help} — ${node.target.join(' ')}`),
  )
}
