import { build, type Rolldown } from 'vite'
import { openBrowser } from '../test/support/browser.ts'
import { type ForecastCost, measureForecast } from './measure-forecast.ts'

/** As much slower as a ward's tablet is taken to be than this machine. */
const THROTTLE = 4
const MARKS = { p95Ms: 4, timesFaster: 50, difference: 0.002 } as const

/**
 * How long a forecast with its ranges takes, against the plain run of the same equations, and how far the two lie
 * apart: in Node, and in Chromium with its processor held back.
 */
export async function run(): Promise<void> {
  report('Node', measureForecast(), null)
  for (const throttle of [1, THROTTLE]) {
    const cost = await inChromium(throttle)
    report(`Chromium, processor ${throttle === 1 ? 'as it is' : `${throttle} times slower`}`, cost, throttle)
  }
}

async function inChromium(throttle: number): Promise<ForecastCost> {
  const browser = await openBrowser()
  try {
    const page = await (await browser.newContext()).newPage()
    // Isolated from other origins the page's clock counts in steps of 5 µs instead of 100 µs.
    await page.route('http://localhost/**', (route) =>
      route.fulfill({
        contentType: 'text/html',
        headers: {
          'cross-origin-opener-policy': 'same-origin',
          'cross-origin-embedder-policy': 'require-corp',
        },
        body: '<!doctype html><title>forecast</title>',
      }),
    )
    await page.goto('http://localhost/')
    await page.addScriptTag({ content: await pageScript() })
    const line = await page.context().newCDPSession(page)
    await line.send('Emulation.setCPUThrottlingRate', { rate: throttle })
    return await page.evaluate(() =>
      (globalThis as unknown as { measureForecast: () => ForecastCost }).measureForecast(),
    )
  } finally {
    await browser.close()
  }
}

/** The measurement as one script for a page. */
async function pageScript(): Promise<string> {
  const made = (await build({
    configFile: false,
    logLevel: 'warn',
    publicDir: false,
    build: {
      write: false,
      target: 'es2022',
      lib: {
        entry: 'bench/forecast-in-page.ts', // from the project's folder, where every npm command runs
        formats: ['iife'],
        name: 'forecastInPage',
      },
    },
  })) as Rolldown.RolldownOutput[]
  const [first] = made.flatMap(({ output }) => output)
  if (first?.type !== 'chunk') throw new Error('the page script was not built')
  return first.code
}

function report(where: string, cost: ForecastCost, throttle: number | null): void {
  const { medianMs, p95Ms, slowestMs, plainMs, difference, rounds, setUps } = cost
  const faster = plainMs / medianMs
  const verdict = (met: boolean) => (met ? 'met' : 'NOT met')
  const lines = [
    `${where}: ${rounds} forecasts with ranges over ${setUps} set-ups`,
    `  median ${medianMs.toFixed(3)} ms, p95 ${p95Ms.toFixed(3)} ms, slowest ${slowestMs.toFixed(1)} ms`,
    `  plain run ${plainMs.toFixed(0)} ms, ${faster.toFixed(0)} times as long (mark ${MARKS.timesFaster}: ${verdict(faster >= MARKS.timesFaster)})`,
    `  largest difference ${(100 * difference.relative).toFixed(3)} % in ${difference.figure}, of ${difference.compared} figures each (mark ${100 * MARKS.difference} %: ${verdict(difference.relative < MARKS.difference)})`,
    ...(throttle === THROTTLE
      ? [`  p95 on the held-back processor: mark ${MARKS.p95Ms} ms: ${verdict(p95Ms < MARKS.p95Ms)}`]
      : []),
  ]
  console.log(lines.join('\n'))
}
