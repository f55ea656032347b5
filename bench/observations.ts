import { readFileSync, writeFileSync } from 'node:fs'
import { observationTable } from '../src/clinical/aerosol/observation-table.ts'

const PAGE = 'docs/models.md'
const [BEGIN, END] = ['<!-- observations: begin -->\n', '<!-- observations: end -->']

/** Writes the table of the model beside published observations into its page. */
export async function run(): Promise<void> {
  const page = readFileSync(PAGE, 'utf8')
  const [from, to] = [page.indexOf(BEGIN), page.indexOf(END)]
  if (from < 0 || to < from) throw new Error(`${PAGE} has no place for the table: ${BEGIN.trim()} … ${END}`)
  const table = observationTable()
  writeFileSync(PAGE, `${page.slice(0, from + BEGIN.length)}${table}${page.slice(to)}`)
  console.log(`${table}\nWritten into ${PAGE}.`)
}
