import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join, relative } from 'node:path'
import type { Browser, Page } from 'playwright-core'
import { build } from 'vite'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { signIn } from '../support/bedside.ts'
import { openBrowser, openPage } from '../support/browser.ts'
import { type Hospital, openHospital } from '../support/hospital.ts'
import { longest, type PageTrace, type Thread } from '../support/page-tasks.ts'
import { floorSteps, roundSteps, type Step } from '../support/planning-steps.ts'
import { heldUp, watchPage } from '../support/watch-page.ts'

let hospital: Hospital
let browser: Browser
beforeAll(async () => {
  hospital = await openHospital()
  browser = await openBrowser()
})
afterAll(async () => {
  await browser?.close()
  await hospital?.close()
})

const PLANNER = /\/(planner|long-work)\.worker-[^/]+\.js$/
const plans = ({ scripts }: Thread) => [...scripts].some((script) => PLANNER.test(script))

/** Goes through the steps on a page of its own. The longest task of each is written into the output of the test. */
async function watched(
  person: string,
  stepsOf: (page: Page, address: string) => readonly Step[],
): Promise<Map<string, PageTrace>> {
  const { page, context, troubles } = await openPage(browser, 'tablet')
  await signIn(page, hospital.address, person)
  const traces = new Map<string, PageTrace>()
  for (const { name, act } of stepsOf(page, hospital.address)) {
    const trace = await watchPage(browser, page, act)
    console.log(heldUp(name, trace))
    traces.set(name, trace)
  }
  expect(troubles()).toEqual([])
  await context.close()
  return traces
}

/**
 * How long a task takes is reported and not asserted: on a machine with other work the same task takes twice the
 * processor time. What holds on every machine is where the planning was done, and that a search took its worker longer
 * than anything took the page.
 */
function expectPlannedInWorkers(traces: ReadonlyMap<string, PageTrace>, searched: string): void {
  const planned = [...traces].map(([step, { page, workers }]) => [step, workers.some(plans), plans(page)])
  expect(planned).toEqual([...traces.keys()].map((step) => [step, true, false]))
  const trace = traces.get(searched)
  if (!trace) throw new Error(`no step is called "${searched}"`)
  const inWorkers = trace.workers
    .filter(plans)
    .flatMap(({ tasks }) => tasks)
    .reduce((sum, { processorMs }) => sum + processorMs, 0)
  expect(inWorkers).toBeGreaterThan(longest(trace.page.tasks, 'processorMs').processorMs)
}

describe('the page’s own thread while the round is planned', () => {
  it('draws Round, and leaves the planning to a worker', async () => {
    expectPlannedInWorkers(await watched('corvin', roundSteps), 'a call, planned around')
  })

  it('draws Floor, and leaves the planning to workers', async () => {
    expectPlannedInWorkers(await watched('falk', floorSteps), 'split afresh')
  })

  it('loads nothing that searches for a plan', async () => {
    const ofThePage = await codeOfThePage()
    expect(ofThePage).toContain('src/app/planning/planner-client.ts')
    expect(ofThePage.filter((file) => file.startsWith('src/rounds/'))).toEqual([])
  })
})

/** The sources of which code is in the page's own files, screens that are opened later included; workers are not. */
async function codeOfThePage(): Promise<string[]> {
  const outDir = mkdtempSync(join(tmpdir(), 'page-code-'))
  try {
    const built = await build({ configFile: 'vite.config.ts', logLevel: 'silent', build: { outDir } })
    if (!('output' in built)) throw new Error('the build gave no list of its files')
    return built.output.flatMap((file) =>
      file.type === 'chunk'
        ? Object.entries(file.modules).flatMap(([id, { renderedLength }]) =>
            renderedLength > 0 ? [relative(process.cwd(), id)] : [],
          )
        : [],
    )
  } finally {
    rmSync(outDir, { recursive: true, force: true })
  }
}
