import { Chart } from '../src/chart/folds/chart.ts'
import { settleItems } from '../src/chart/folds/settle.ts'
import { type AnyFact, readFact } from '../src/chart/registry.ts'
import { stays } from './ledger-facts.ts'
import { timed } from './ledger-measure.ts'

const FACTS = 100_000

/** A hundred thousand facts from their text to every state that a screen shows, and then one more. */
export async function benchFolds(): Promise<void> {
  const now = Date.now()
  const texts = [...stays(FACTS + 1, now)].map(({ text }) => text)
  const [extra = '', rest] = [texts.at(-1), texts.slice(0, FACTS)]
  const read = (text: string): AnyFact[] => {
    const known = readFact(JSON.parse(text))
    return known.ok ? [known.fact] : []
  }
  const reading = await timed(async () => rest.flatMap(read))
  const chart = new Chart()
  const adding = await timed(async () => chart.add(reading.value))
  const everything = async () => {
    const counts = [chart.patients(), chart.orders(), chart.visits(), chart.staff()].map(
      ({ length }) => length,
    )
    return [...counts, settleItems(chart, new Date(now).toISOString()).length]
  }
  const folding = await timed(everything)
  chart.add(read(extra))
  const again = await timed(everything)
  const ms = (part: { readonly ms: number }) => part.ms.toFixed(0)
  console.log(
    `${FACTS} facts: read and checked in ${ms(reading)} ms, added in ${ms(adding)} ms, folded in ${ms(folding)} ms (patients, orders, visits, staff, open items: ${folding.value.join(', ')}); all again after one more fact in ${ms(again)} ms`,
  )
}
