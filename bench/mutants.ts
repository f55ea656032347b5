import { runBundleMutants } from '../test/support/fhir-mutants.ts'
import { runMutants } from '../test/support/mutants.ts'

const MESSAGES = 60_000
const CODES = 40_000
const BUNDLES = 100_000

/** A hundred thousand damaged inputs: HL7 v2 messages on a line, cut anywhere, and GS1 codes; and as many FHIR bundles. */
export async function run(): Promise<void> {
  const seed = Number(process.argv[3] ?? 1)
  const from = performance.now()
  const count = runMutants(MESSAGES, CODES, seed)
  const seconds = ((performance.now() - from) / 1000).toFixed(1)
  console.log(
    `${MESSAGES} damaged messages and ${CODES} damaged codes (seed ${seed}) in ${seconds} s; none lost, none crashed`,
  )
  console.table(count)
  const begun = performance.now()
  const bundles = runBundleMutants(BUNDLES, seed)
  const took = ((performance.now() - begun) / 1000).toFixed(1)
  console.log(`${BUNDLES} damaged FHIR bundles (seed ${seed}) in ${took} s; none lost, none crashed`)
  console.table(bundles)
}
