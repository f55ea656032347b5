import type { CDPSession, Page } from 'playwright-core'
import { signIn } from '../test/support/bedside.ts'
import { openBrowser, openPage } from '../test/support/browser.ts'
import { openHospital } from '../test/support/hospital.ts'
import { type FrameWork, readTrace } from './drag-trace.ts'

/** As much slower as a ward's tablet is taken to be than this machine. */
const THROTTLE = 4
/** A frame at 60 a second [ms]. */
const FRAME_MS = 1000 / 60
const MOVES = 300
const DIALS = ['Flow', 'Fill', 'Breaths'] as const

/**
 * How steadily the Bench follows a finger on a dial, in Chromium with its processor held back: the time between
 * frames, which other work on this machine lengthens, and the processor time of the page's own thread in each frame,
 * which it does not.
 */
export async function run(): Promise<void> {
  const hospital = await openHospital()
  const browser = await openBrowser()
  try {
    const { page } = await openPage(browser, 'tablet')
    await signIn(page, hospital.address, 'falk')
    await page.goto(`${hospital.address}/bench`)
    await page.getByRole('heading', { name: 'How the run goes' }).waitFor()
    const line = await page.context().newCDPSession(page)
    await line.send('Emulation.setCPUThrottlingRate', { rate: THROTTLE })
    await page.waitForTimeout(3000)
    for (const dial of DIALS) {
      await browser.startTracing(page, { categories: ['devtools.timeline', 'toplevel'] })
      const intervals = await drag(page, line, dial)
      const work = readTrace(await browser.stopTracing())
      report(dial, intervals, work)
    }
  } finally {
    await browser.close()
    await hospital.close()
  }
}

/** Moves a finger on a dial to and fro, and gives the time from each frame to the next [ms]. */
async function drag(page: Page, line: CDPSession, dial: string): Promise<readonly number[]> {
  const track = page.getByRole('group', { name: dial, exact: true }).locator('.dial-track')
  await track.scrollIntoViewIfNeeded()
  const [box, thumb] = [await track.boundingBox(), await track.locator('.dial-thumb').boundingBox()]
  if (!box || !thumb) throw new Error(`no dial ${dial}`)
  const y = box.y + box.height / 2
  const touch = (type: 'touchStart' | 'touchMove' | 'touchEnd', x: number) =>
    line.send('Input.dispatchTouchEvent', { type, touchPoints: type === 'touchEnd' ? [] : [{ x, y }] })
  await page.evaluate(watchFrames)
  await touch('touchStart', thumb.x + thumb.width / 2)
  for (let move = 0; move < MOVES; move++) {
    await touch('touchMove', box.x + box.width * (0.5 + 0.45 * Math.sin(move / 20)))
    await page.waitForTimeout(FRAME_MS)
  }
  await touch('touchEnd', 0)
  return page.evaluate(framesSeen)
}

/** In the page: notes the time of every frame from now on. */
function watchFrames(): void {
  const seen: number[] = []
  const watch = { seen, on: true }
  const note = (at: number) => {
    seen.push(at)
    if (watch.on) requestAnimationFrame(note)
  }
  requestAnimationFrame(note)
  Object.assign(globalThis, { framesOfDrag: watch })
}

function framesSeen(): number[] {
  const watch = (globalThis as unknown as { framesOfDrag: { seen: number[]; on: boolean } }).framesOfDrag
  watch.on = false
  const { seen } = watch
  return seen.slice(1).map((at, i) => at - (seen[i] ?? at))
}

function report(dial: string, intervals: readonly number[], work: FrameWork): void {
  const { frames, byKind } = work
  const within = frames.filter((ms) => ms <= FRAME_MS).length
  console.log(
    [
      `${dial}, ${MOVES} moves, processor ${THROTTLE} times slower`,
      `  from frame to frame: ${spread(intervals)}`,
      `  page's own work a frame: ${spread(frames)}; ${((100 * within) / frames.length).toFixed(1)} % of ${frames.length} within ${FRAME_MS.toFixed(1)} ms`,
      `  of it, in all: ${byKind.map(({ kind, ms }) => `${kind} ${ms.toFixed(0)} ms`).join(', ')}`,
    ].join('\n'),
  )
}

function spread(values: readonly number[]): string {
  const sorted = values.toSorted((a, b) => a - b)
  const at = (share: number) =>
    sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))] ?? Number.NaN
  return `median ${at(0.5).toFixed(1)} ms, p95 ${at(0.95).toFixed(1)} ms, worst ${at(1).toFixed(1)} ms`
}
