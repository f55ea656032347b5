import { writeFile } from 'node:fs/promises'
import { documentsInForce } from '../../chart/documents/documents-in-force.ts'
import type { Chart } from '../../chart/folds/chart.ts'
import { writeCollections } from '../../exchange/fhir/record.ts'
import { type Command, EXIT, UsageError } from '../command.ts'
import { flatTables } from '../flat-tables.ts'
import { openLedger } from '../open.ts'
import { readSettings, SETTINGS_OPTIONS } from '../settings.ts'

/** Writes facts, flat tables or FHIR bundles for other programs. */
export const exportFacts: Command = {
  name: 'export',
  purpose: 'write facts as lines of JSON, flat tables as CSV, or FHIR bundles',
  words: '[FOLDER]',
  help: `Without a FOLDER: every ledger entry as one line of JSON on standard output. With one: visits.csv, measurements.csv
and not-given.csv in it. Cells that a spreadsheet would take for a formula are guarded with an apostrophe.

  --fhir               into the FOLDER, one FHIR R4 bundle a patient (docs/department.md), which receive takes elsewhere
  --base ADDRESS       with --fhir: what stands before Patient/… in the bundles (default: https://mistwright.invalid/fhir)
  --data FOLDER        where the ledger lies, or --database ADDRESS`,
  options: { ...SETTINGS_OPTIONS, fhir: { type: 'boolean' }, base: { type: 'string' } },
  run: async (given, terminal) => {
    const settings = readSettings(given, process.env)
    const [folder] = given.words
    if (given.flag('fhir') && folder === undefined)
      throw new UsageError('export --fhir needs the FOLDER to write into')
    const { ledger, chart } = await openLedger(settings, terminal.nowMs, true)
    try {
      if (folder === undefined) {
        for await (const entry of ledger.entries(settings.facility)) terminal.out(JSON.stringify(entry))
        return EXIT.ok
      }
      const known = await chart.now()
      const base = given.text('base') ?? 'https://mistwright.invalid/fhir'
      const files = given.flag('fhir')
        ? bundles(known, settings.facility, terminal.nowMs(), base)
        : flatTables(known)
      for (const [name, text] of Object.entries(files)) {
        await writeFile(`${folder}/${name}`, text)
        terminal.out(`Wrote ${folder}/${name}`)
      }
      return EXIT.ok
    } finally {
      await ledger.close()
    }
  },
}

/** One file a patient, named by the patient's id and not by their number. */
function bundles(chart: Chart, facility: string, nowMs: number, base: string): Record<string, string> {
  const now = new Date(nowMs).toISOString()
  const { documents } = documentsInForce(chart.facts(), now)
  const rules = {
    standardTimes: documents['standard-times'].content,
    windows: documents.windows.content,
    timeZone: documents.site.content.timeZone,
  }
  const written = writeCollections({ chart, facility, now, rules }, base)
  return Object.fromEntries(
    written.map((bundle, at) => {
      const patient = bundle.entry?.find(({ resource }) => resource?.resourceType === 'Patient')?.resource
      return [`${patient?.id ?? at}.json`, JSON.stringify(bundle)]
    }),
  )
}
