import { z } from 'zod'
import { ROUTES } from '../../../clinical/aerosol/lung.ts'
import { withUnit } from '../../parts/number-rule.ts'
import { type BenchRange, DOSE_RULE, onStep, PATIENT_RANGES, SETUP_RANGES } from './bench-ranges.ts'
import {
  type Bench,
  type BenchPatient,
  type BenchSetup,
  FEWEST,
  FORMS,
  GASES,
  INTERFACES,
  LETTERS,
  LUNGS,
  MASK_SHAPES,
} from './bench-state.ts'

/** A bench as the address says it; or what is wrong with the address, each a sentence. */
export type BenchRead =
  | { readonly kind: 'bench'; readonly bench: Bench; readonly visitId: string | null }
  /** Nothing is said of a bench, perhaps of a visit. */
  | { readonly kind: 'nothing said'; readonly visitId: string | null }
  | { readonly kind: 'refused'; readonly problems: readonly string[]; readonly visitId: string | null }

const figure = z.string({ error: 'is missing' }).regex(/^\d+(\.\d+)?$/, 'is not a plain number')

function within(range: BenchRange) {
  const { low, high, unit, step } = range
  const may = `it may be ${withUnit(`${low} to ${high}`, unit)}`
  return figure
    .transform(Number)
    .refine((value) => value >= low && value <= high, may)
    .refine((value) => onStep(value, range), `${may} in steps of ${step}`)
}

function oneOf<const Values extends readonly [string, ...string[]]>(values: Values) {
  return z.enum(values, {
    error: ({ input }) => (input === undefined ? 'is missing' : `it may be ${values.join(', ')}`),
  })
}

const doseMg = figure
  .transform(Number)
  .refine(
    (value) => value >= DOSE_RULE.possible.low && value <= DOSE_RULE.possible.high,
    `it may be ${DOSE_RULE.possible.low} to ${DOSE_RULE.possible.high} mg`,
  )
  .refine(
    (value) => Number.isSafeInteger(Math.round(value * 1000)) && onMicrogram(value),
    'it is given to the microgram',
  )

function onMicrogram(mg: number): boolean {
  return Math.abs(mg * 1000 - Math.round(mg * 1000)) < 1e-6
}

const childKg = within(PATIENT_RANGES.weightKg)
const weight = z
  .string()
  .refine(
    (text) => text === 'adult' || childKg.safeParse(text).success,
    `it may be adult, or the weight of a child, ${PATIENT_RANGES.weightKg.low} to ${PATIENT_RANGES.weightKg.high} kg in steps of ${PATIENT_RANGES.weightKg.step}`,
  )
  .transform((text) => (text === 'adult' ? null : Number(text)))

const PATIENT = z.strictObject({
  dose: doseMg,
  form: oneOf(FORMS),
  lungs: oneOf(LUNGS),
  weight,
  tidal: within(PATIENT_RANGES.tidalMl),
  rate: within(PATIENT_RANGES.ratePerMin),
  out: within(PATIENT_RANGES.outPerIn),
  cannula: within(PATIENT_RANGES.cannulaLPerMin),
  room: within(PATIENT_RANGES.roomCel),
  pressure: within(PATIENT_RANGES.pressureKPa),
})

const setupSchema = (cupIds: readonly string[]) =>
  z.strictObject({
    cup: z
      .string({ error: 'is missing' })
      .refine((id) => cupIds.includes(id), 'no cup of that name is kept here'),
    fill: within(SETUP_RANGES.fillMl),
    gas: oneOf(GASES),
    flow: within(SETUP_RANGES.flowLPerMin),
    by: oneOf(INTERFACES),
    off: within(SETUP_RANGES.distanceCm),
    mask: oneOf(MASK_SHAPES),
    tube: within(SETUP_RANGES.reservoirMl),
    through: oneOf(ROUTES),
  })

const VisitId = z.string().regex(/^[\w-]{1,80}$/, 'is not the name of a visit')

/**
 * Reads a bench out of the search part of an address. Everything must be there and be allowed: nothing is filled in,
 * nothing is pulled into its range. `cupIds` are the cups that the hospital keeps.
 */
export function readBench(search: string, cupIds: readonly string[]): BenchRead {
  const { fields, twice, strange } = fieldsOf(search)
  const { visit, ...rest } = fields
  const visitRead = VisitId.nullable().safeParse(visit ?? null)
  const visitId = visitRead.success ? visitRead.data : null
  const problems = [
    ...twice.map((key) => `“${key}” is said twice.`),
    ...strange.map((key) => `“${key}” is not known to the bench.`),
  ]
  if (!visitRead.success) problems.push(`“visit” is “${visit}”: it is not the name of a visit.`)
  if (problems.length === 0 && Object.keys(rest).length === 0) return { kind: 'nothing said', visitId }
  const { patient, setups } = grouped(rest)
  const read = PATIENT.safeParse(patient)
  if (!read.success) problems.push(...sentences(read.error, patient, ''))
  const setUps: BenchSetup[] = []
  for (const [at, letter] of LETTERS.entries()) {
    const said = setups.get(letter)
    if (!said) {
      if (at < FEWEST) problems.push(`Set-up ${letter.toUpperCase()} is missing: a bench has two to four.`)
      continue
    }
    if (at > 0 && !setups.has(LETTERS[at - 1] ?? '')) problems.push(gap(letter))
    const setup = setupSchema(cupIds).safeParse(said)
    if (setup.success) setUps.push(toSetup(setup.data))
    else problems.push(...sentences(setup.error, said, `${letter}.`))
  }
  if (!read.success || problems.length > 0) return { kind: 'refused', problems, visitId }
  return { kind: 'bench', bench: { patient: toPatient(read.data), setups: setUps }, visitId }
}

function gap(letter: string): string {
  return `Set-up ${letter.toUpperCase()} is there without the one before it.`
}

/** What is said once, what is said twice, and names that no field could have. */
function fieldsOf(search: string): { fields: Record<string, string>; twice: string[]; strange: string[] } {
  const fields: Record<string, string> = {}
  const twice = new Set<string>()
  const strange = new Set<string>()
  for (const [key, value] of new URLSearchParams(search)) {
    if (!/^([a-d]\.)?[a-z]+$/.test(key)) strange.add(key)
    else if (Object.hasOwn(fields, key)) twice.add(key)
    else fields[key] = value
  }
  return { fields, twice: [...twice], strange: [...strange] }
}

/** `a.flow` belongs to set-up A, `rate` to the patient. */
function grouped(fields: Record<string, string>): {
  patient: Record<string, string>
  setups: Map<string, Record<string, string>>
} {
  const patient: Record<string, string> = {}
  const setups = new Map<string, Record<string, string>>()
  for (const [key, value] of Object.entries(fields)) {
    const [, letter, field] = /^([a-d])\.(.+)$/.exec(key) ?? []
    if (letter === undefined || field === undefined) patient[key] = value
    else setups.set(letter, { ...setups.get(letter), [field]: value })
  }
  return { patient, setups }
}

function sentences(error: z.ZodError, given: Record<string, string>, before: string): string[] {
  const missing = error.issues
    .filter(({ code, path }) => code !== 'unrecognized_keys' && given[String(path[0])] === undefined)
    .map(({ path }) => `“${before}${String(path[0])}”`)
  const others = error.issues.flatMap((issue) => {
    if (issue.code === 'unrecognized_keys') {
      return issue.keys.map((key) => `“${before}${key}” is not known to the bench.`)
    }
    const key = String(issue.path[0] ?? '')
    const value = given[key]
    if (value === undefined) return []
    return [`“${before}${key}” is “${value}”: ${issue.message}.`]
  })
  if (missing.length === 0) return others
  return [`${missing.join(', ')} ${missing.length === 1 ? 'is' : 'are'} missing.`, ...others]
}

function toPatient(read: z.infer<typeof PATIENT>): BenchPatient {
  return {
    doseMg: read.dose,
    form: read.form,
    lungs: read.lungs,
    weightKg: read.weight,
    tidalMl: read.tidal,
    ratePerMin: read.rate,
    outPerIn: read.out,
    cannulaLPerMin: read.cannula,
    roomCel: read.room,
    pressureKPa: read.pressure,
  }
}

function toSetup(read: z.infer<ReturnType<typeof setupSchema>>): BenchSetup {
  return {
    cupId: read.cup,
    fillMl: read.fill,
    gas: read.gas,
    flowLPerMin: read.flow,
    interface: read.by,
    distanceCm: read.off,
    mask: read.mask,
    reservoirMl: read.tube,
    breathesBy: read.through,
  }
}

/** The search part that says this bench, without the question mark; `readBench` gives the same bench back. */
export function writeBench({ patient, setups }: Bench, visitId: string | null): string {
  const said = new URLSearchParams()
  if (visitId !== null) said.set('visit', visitId)
  const fields: Record<keyof z.infer<typeof PATIENT>, string | number> = {
    dose: patient.doseMg,
    form: patient.form,
    lungs: patient.lungs,
    weight: patient.weightKg ?? 'adult',
    tidal: patient.tidalMl,
    rate: patient.ratePerMin,
    out: patient.outPerIn,
    cannula: patient.cannulaLPerMin,
    room: patient.roomCel,
    pressure: patient.pressureKPa,
  }
  for (const [key, value] of Object.entries(fields)) said.set(key, String(value))
  for (const [at, setup] of setups.entries()) {
    for (const [key, value] of Object.entries(setupFields(setup))) {
      said.set(`${LETTERS[at]}.${key}`, String(value))
    }
  }
  return said.toString()
}

function setupFields(
  setup: BenchSetup,
): Record<keyof z.infer<ReturnType<typeof setupSchema>>, string | number> {
  return {
    cup: setup.cupId,
    fill: setup.fillMl,
    gas: setup.gas,
    flow: setup.flowLPerMin,
    by: setup.interface,
    off: setup.distanceCm,
    mask: setup.mask,
    tube: setup.reservoirMl,
    through: setup.breathesBy,
  }
}
