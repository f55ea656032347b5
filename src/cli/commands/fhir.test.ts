import { mkdirSync, mkdtempSync, readdirSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, expect, it } from 'vitest'
import { DEMO_NOW, demoChart } from '../../../test/support/demo-chart.ts'
import { runCommand } from '../../../test/support/terminal.ts'
import { openLedger } from '../open.ts'
import { due } from './due.ts'
import { exportFacts } from './export.ts'
import { receive } from './receive.ts'

const folder = mkdtempSync(join(tmpdir(), 'mistwright-fhir-'))
afterAll(() => rmSync(folder, { recursive: true, force: true }))
const nowMs = () => Date.parse(DEMO_NOW)

it('a hospital written as FHIR files and received into an empty one has the same doses due', async () => {
  const [here, there] = [join(folder, 'here.db'), join(folder, 'there.db')]
  const { ledger } = await openLedger({ database: here, facility: 'marrowby' }, nowMs, false)
  const facts = [...(await demoChart('marrowby')).facts()]
  await ledger.append('marrowby', { facts, receivedAt: DEMO_NOW, deviceAheadMs: null })
  await ledger.close()
  const out = join(folder, 'bundles')
  mkdirSync(out)
  const at = (database: string) => ['--database', database, '--facility', 'marrowby']
  const written = await runCommand(exportFacts, [...at(here), '--fhir', out], { nowMs })
  const files = readdirSync(out).map((name) => join(out, name))
  expect([written.exit, files.length]).toEqual([0, 30])
  const taken = await runCommand(receive, [...at(there), ...files], { nowMs })
  expect(taken.said.split('\n').filter((line) => !/: Bundle collection: AA; made /.test(line))).toEqual([])
  expect(taken.exit).toBe(0)
  const [one, other] = await Promise.all(
    [here, there].map((database) => runCommand(due, [...at(database), '--json', '--hours', '24'], { nowMs })),
  )
  const doses = (said: string | undefined) =>
    JSON.parse(said ?? '[]')
      .filter(({ doseAt }: { doseAt: string }) => doseAt > DEMO_NOW)
      .map(({ key, window }: { key: string; window: object }) => [key, window])
  expect(doses(other?.said)).toEqual(doses(one?.said))
  expect(doses(one?.said).length).toBeGreaterThan(50)
}, 120_000)

it('asks for a folder', async () => {
  await expect(runCommand(exportFacts, ['--fhir'], { nowMs })).rejects.toThrow(/needs the FOLDER/)
})
