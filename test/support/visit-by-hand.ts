import type { Page } from 'playwright-core'
import type { Hands } from './bedside.ts'

/** Figures that a therapist enters before and after. */
export type Entered = {
  readonly heart: number
  readonly breaths: number
  readonly spo2: number
  readonly blows: readonly number[]
}

export const BEFORE: Entered = { heart: 84, breaths: 22, spo2: 91, blows: [200, 210, 205] }
export const AFTER: Entered = { heart: 90, breaths: 18, spo2: 92, blows: [240, 250, 245] }

/** Acts of a visit as a person does them on the screen, stage by stage. */
export const visit = {
  async door(hands: Hands): Promise<void> {
    const { page } = hands
    await page.getByRole('region', { name: 'Door' }).waitFor()
    await answerAll(hands, 'Door')
    for (const item of await page.getByRole('checkbox').all()) {
      if (!(await item.isChecked())) await hands.press(item.locator('xpath=ancestor::label'))
    }
    await hands.button('Go in')
  },

  async identify(hands: Hands, expiry: string): Promise<void> {
    const { page } = hands
    await page.getByRole('region', { name: 'Identify' }).waitFor()
    await hands.button(/^Says “/)
    await hands.button(/^Says born/)
    const inTheHand = page.getByRole('radiogroup', { name: 'In the hand' })
    await inTheHand.waitFor()
    await hands.press(inTheHand.getByRole('radio').first().locator('xpath=ancestor::label'))
    await page.getByLabel('Expires').fill(expiry)
    await hands.button('This is in the hand')
  },

  async measureBefore(hands: Hands, figures: Entered): Promise<void> {
    await hands.page.getByRole('region', { name: 'Measure' }).waitFor()
    await vitals(hands, figures)
    await hands.choose('Heart rhythm', 'regular')
    await hands.choose('Consciousness', 'alert')
    await hands.choose('Ability to follow', 'follows and holds a mouthpiece')
    await hands.button('Keep these')
  },

  async prepare(hands: Hands): Promise<void> {
    await hands.page.getByRole('region', { name: 'Prepare' }).waitFor()
    await answerAll(hands, 'Prepare')
    await hands.button('It is in the cup')
  },

  async setUp(hands: Hands): Promise<void> {
    await hands.page.getByRole('region', { name: 'Set up' }).waitFor()
    await hands.button('Set up so')
  },

  async start(hands: Hands): Promise<void> {
    await hands.page.getByRole('region', { name: 'Give' }).waitFor()
    await hands.button('Start')
    await hands.page.getByRole('timer').first().waitFor()
  },

  async finish(hands: Hands): Promise<void> {
    await hands.button('Finished: measure again')
    await hands.button('It sputtered: end the run')
  },

  async after(hands: Hands, figures: Entered): Promise<void> {
    await hands.page.getByRole('region', { name: 'After' }).waitFor()
    await vitals(hands, figures)
    await hands.button('Keep these')
    await hands.choose('Cough', 'none')
    await hands.choose('Nebulizer', 'rinsed, dried and bagged')
    await hands.button('Oxygen is back')
    await hands.button('Bed safe, call bell in reach')
    await hands.button('On to the note')
  },

  async sign(hands: Hands): Promise<void> {
    await hands.page.getByRole('region', { name: 'Chart' }).waitFor()
    await hands.button(/^Sign as /)
    await hands.page.getByText('In force').waitFor()
  },
}

async function vitals(hands: Hands, figures: Entered): Promise<void> {
  await hands.number('Heart rate', figures.heart)
  await hands.number('Breaths', figures.breaths)
  await hands.number('SpO2', figures.spo2)
  await hands.button('Clear all over')
  await hands.choose('Work of breathing', 'easy')
  for (const [index, blow] of figures.blows.entries()) await hands.number(`Blow ${index + 1}`, blow)
}

/** Answers every finding of a stage with the first ready-made answer, or in words where there is none. */
async function answerAll(hands: Hands, stage: string): Promise<void> {
  const answer = hands.page
    .getByRole('region', { name: stage })
    .getByRole('button', { name: 'Answer', exact: true })
  while ((await answer.count()) > 0) {
    await hands.press(answer.first())
    const ready = hands.page.getByRole('dialog').getByRole('radio')
    if ((await ready.count()) > 0) await hands.press(ready.first().locator('xpath=ancestor::label'))
    else {
      await hands.page.getByRole('dialog').getByRole('textbox').fill('Dr. Harrowgate: give it, will watch')
      await hands.button('Keep this answer')
    }
    await hands.page.getByRole('dialog').waitFor({ state: 'hidden' })
  }
}

/** The screen of a visit is at this stage. */
export async function stageIs(page: Page, stage: string): Promise<void> {
  await page.getByRole('region', { name: stage }).waitFor()
}
