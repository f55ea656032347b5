import { z } from 'zod'
import { once } from '../../once.ts'
import medicines from '../data/formulary.json' with { type: 'json' }
import mixing from '../data/mixing.json' with { type: 'json' }
import rules from '../data/rules.json' with { type: 'json' }
import { SOURCES, SourceEntry } from '../sources.ts'
import { Id, Words } from './backing.ts'
import { Medicine } from './medicine-schema.ts'
import { Mixing } from './mixing-schema.ts'
import { ConditionEntry, Group, IndicationEntry, Interaction, Rule, VocabularyStatus } from './rule-schema.ts'

/** The whole formulary as one versioned document: a hospital may put its own in place of it. */
export const FormularyDocument = z.strictObject({
  version: Id,
  about: Words,
  caution: Words,
  sources: z.array(SourceEntry.extend({ key: Id })).min(1),
  medicines: z.array(Medicine).min(1),
  conditions: z.array(ConditionEntry),
  conditionCodes: z.strictObject({ system: Words, status: VocabularyStatus }),
  indications: z.array(IndicationEntry),
  groups: z.array(Group),
  groupsStatus: VocabularyStatus,
  interactions: z.array(Interaction),
  rules: z.array(Rule),
  mixing: Mixing,
})
export type FormularyDocument = z.infer<typeof FormularyDocument>

/** What the program brings along, until a hospital adopts its own. Read when it is first asked for. */
export const defaultFormularyDocument = once(() =>
  FormularyDocument.parse({ ...medicines, ...rules, mixing, sources: Object.values(SOURCES) }),
)
