import type { Page } from 'playwright-core'
import { Hands } from './bedside.ts'
import { dragByTouch, middleOf } from './touch.ts'

/** Something done on a screen while the round is planned. */
export type Step = { readonly name: string; readonly act: () => Promise<void> }

/** A shift of one therapist by touch: opened, a call, the plan given out, a visit moved. */
export function roundSteps(page: Page, address: string): Step[] {
  const hands = new Hands(page, 'touch')
  const sheet = page.getByRole('dialog')
  return [
    {
      name: 'Round opened, first plan',
      act: async () => {
        await page.goto(address)
        await page.locator('.round-thread').waitFor()
      },
    },
    {
      name: 'a call, planned around',
      act: async () => {
        await hands.button('A call came in')
        await hands.press(page.getByRole('button', { name: /^Plan it: 4WEST 7/ }))
        await page.getByText('The plan has changed.').waitFor()
      },
    },
    {
      name: 'what changes, and given out',
      act: async () => {
        await hands.button('What changes')
        await hands.press(sheet.getByRole('button', { name: 'Close' }))
        await hands.button('Give this plan out')
        await page.getByText(/^Given out by Alda Corvin at/).waitFor()
      },
    },
    {
      name: 'a knot pulled in front of the one before',
      act: async () => {
        const knots = page.locator('.stop:not(.stop-break)[data-movable="true"] .stop-mark')
        const [to, from] = [await middleOf(knots.nth(1)), await middleOf(knots.nth(2))]
        await dragByTouch(page, from, { x: to.x, y: to.y - 12 })
        await sheet.getByRole('button', { name: /^Leave it/ }).waitFor()
      },
    },
  ]
}

/** The lead's view by touch: opened, a visit moved, and the questions that take the planner longest. */
export function floorSteps(page: Page, address: string): Step[] {
  const hands = new Hands(page, 'touch')
  const sheet = page.getByRole('dialog')
  const column = (person: string) => page.locator(`[data-column="${person}"]`)
  return [
    {
      name: 'Floor opened, first plan',
      act: async () => {
        await page.goto(`${address}/floor`)
        await page.getByRole('region', { name: 'Therapists across, hours down' }).waitFor()
      },
    },
    {
      name: 'a visit pulled to somebody else',
      act: async () => {
        const grip = column('amsel').locator(
          '.floor-stop:not(.floor-stop-break) .floor-grip:not(.floor-grip-still)',
        )
        const [from, to] = [await middleOf(grip.first()), await middleOf(column('birke').locator('h3'))]
        await dragByTouch(page, from, { x: to.x, y: from.y })
        await hands.press(sheet.getByRole('button', { name: /^Leave it/ }))
      },
    },
    {
      name: 'split afresh',
      act: async () => {
        await hands.button('Split the patients afresh')
        await sheet.getByRole('button', { name: 'Give this plan out' }).waitFor()
        await hands.press(sheet.getByRole('button', { name: 'Leave it' }))
      },
    },
    {
      name: 'how many hands',
      act: async () => {
        await hands.button('How many does it need?')
        await page.getByText(/enough for everything on time/).waitFor({ timeout: 120_000 })
      },
    },
    {
      name: 'what if one goes home',
      act: async () => {
        await hands.button('What if one goes home?')
        await hands.choose('Who', 'Jonas Birke')
        await hands.choose('When', 'Now')
        await sheet.getByRole('img', { name: /^Left thread the plan now/ }).waitFor()
        await page.keyboard.press('Escape')
        await sheet.waitFor({ state: 'hidden' })
      },
    },
  ]
}
