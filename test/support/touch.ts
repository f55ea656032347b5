import type { Locator, Page } from 'playwright-core'

type Point = { readonly x: number; readonly y: number }

/** The middle of what is on the screen. */
export async function middleOf(target: Locator): Promise<Point> {
  await target.scrollIntoViewIfNeeded()
  const box = await target.boundingBox()
  if (box === null) throw new Error('nothing to touch there')
  return { x: box.x + box.width / 2, y: box.y + box.height / 2 }
}

/** A finger that goes down, moves in small steps and is lifted, as the touch screen itself reports it. */
export async function dragByTouch(page: Page, from: Point, to: Point, steps = 12): Promise<void> {
  const device = await page.context().newCDPSession(page)
  const send = (type: 'touchStart' | 'touchMove' | 'touchEnd', points: Point[]) =>
    device.send('Input.dispatchTouchEvent', { type, touchPoints: points })
  await send('touchStart', [from])
  for (let step = 1; step <= steps; step += 1) {
    const share = step / steps
    await send('touchMove', [{ x: from.x + (to.x - from.x) * share, y: from.y + (to.y - from.y) * share }])
  }
  await send('touchEnd', [])
  await device.detach()
}
