import { z } from 'zod'
import { type Calculation, calculation } from '../../clinical/calculation.ts'
import { BadInput, type Source } from '../../clinical/worked.ts'
import { checkDigit, hasCheckDigit, hibcCheck, ndcOf } from './check-digit.ts'
import { readGs1Date } from './date.ts'
import { readElementString } from './element-string.ts'

const DICTIONARY: Source = {
  key: 'GS1_DICTIONARY',
  cite: 'GS1 Barcode Syntax Dictionary (gs1/gs1-syntax-dictionary, Apache-2.0)',
  standing: 'verified',
}
const SPECIFICATIONS: Source = {
  key: 'GS1_SPECIFICATIONS',
  cite: 'GS1 General Specifications, sections 3.4 (day 00), 7.9 (check digit), 7.12 (century)',
  standing: 'from memory',
}

const Day = z.iso.date()
const Input = z.union([
  z.strictObject({ raw: z.string(), today: Day }),
  z.strictObject({ body: z.string().regex(/^\d{1,17}$/, 'up to 17 digits') }),
  z.strictObject({ number: z.string() }),
  z.strictObject({ yymmdd: z.string(), today: Day }),
  z.strictObject({ gtin: z.string() }),
  z.strictObject({ data: z.string() }),
])

/** One entry for all that is asked of codes: an element string, a check digit, a date, an NDC, a HIBC check. */
const elementString = calculation({
  name: 'element-string',
  purpose:
    'reads a GS1 element string {raw, today}; or {body}, {number}, {yymmdd, today}, {gtin}, {data} for its parts',
  input: Input,
  run: (input: z.infer<typeof Input>) => ({
    result: resultOf(input),
    working: { steps: [], sources: [DICTIONARY, SPECIFICATIONS], cautions: [] },
  }),
})

function resultOf(input: z.infer<typeof Input>): Record<string, unknown> {
  if ('raw' in input) {
    const read = readElementString(input.raw, input.today)
    if (!read.ok) return { error: read.error, at: read.at, what: read.what }
    const dates = Object.fromEntries(Object.entries(read.dates).map(([ai, date]) => [`${ai}_date`, date]))
    return { ...read.elements, ...dates, ...(read.doubtful.length > 0 && { doubtful: read.doubtful }) }
  }
  if ('body' in input)
    return { digit: checkDigit(input.body), full: `${input.body}${checkDigit(input.body)}` }
  if ('number' in input) return { valid: hasCheckDigit(input.number) }
  if ('yymmdd' in input) return { ...readGs1Date(input.yymmdd, input.today) }
  if ('gtin' in input) return { ndc10: ndcOf(input.gtin) }
  const check = hibcCheck(input.data)
  if (check === null) throw new BadInput('data', input.data, 'capital letters, digits and - . space $ / + %')
  return { check }
}

export const GS1_CALCULATIONS: readonly Calculation[] = [elementString]
