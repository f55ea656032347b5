/**
 * Runs the layer rules of .dependency-cruiser.cjs over src and fails when a rule is broken, or when so few
 * modules were seen that the check cannot have looked (a newer compiler once made it see none, and pass).
 */
import { readdirSync } from 'node:fs'
import { cruise } from 'dependency-cruiser'
import extractTSConfig from 'dependency-cruiser/config-utl/extract-ts-config'
import config from '../.dependency-cruiser.cjs'

const sources = readdirSync('src', { recursive: true }).filter((name) => /\.tsx?$/.test(String(name)))
const { output } = await cruise(['src'], { ...config.options, ruleSet: config, validate: true }, undefined, {
  tsConfig: extractTSConfig('./tsconfig.json'),
})
const seen = output.modules.filter((module) => /^src\/.*\.tsx?$/.test(module.source)).length
for (const violation of output.summary.violations) {
  console.error(`${violation.from} imports ${violation.to}: ${violation.rule.name}`)
  if (violation.comment) console.error(`  because ${violation.comment}`)
}
if (seen < sources.length) {
  console.error(`layer check saw ${seen} of ${sources.length} source files; it cannot vouch for the rest`)
  process.exit(1)
}
console.log(`layers: ${seen} files, ${output.summary.violations.length} broken rules`)
process.exit(output.summary.error > 0 ? 1 : 0)
