import { z } from 'zod'
import { MEDICINE_CODES } from '../chart/documents/medicine-codes.ts'
import { Instant } from '../chart/fact.ts'
import type { Frequency } from '../chart/facts/orders.ts'
import { readFrequencyCode } from '../chart/timing/frequency-code.ts'
import { isTimeZone } from '../chart/timing/zone.ts'
import { type Calculation, calculation, type Working } from '../clinical/calculation.ts'
import { BadInput } from '../clinical/worked.ts'
import { checkDigit, hasCheckDigit, hibcCheck, ndcOf } from './gs1/check-digit.ts'
import { readGs1Date } from './gs1/date.ts'
import { readElementString } from './gs1/element-string.ts'
import { readHibc } from './gs1/hibc.ts'
import { readHl7 } from './hl7/read-hl7.ts'
import { EXCHANGE_SOURCES } from './sources.ts'

const Day = z.iso.date()
const CodeQuestion = z.union([
  z.strictObject({ raw: z.string().max(400), today: Day }),
  z.strictObject({ body: z.string().regex(/^\d{1,17}$/, 'up to 17 digits') }),
  z.strictObject({ number: z.string().max(40) }),
  z.strictObject({ yymmdd: z.string().max(40), today: Day }),
  z.strictObject({ gtin: z.string().max(40) }),
  z.strictObject({ data: z.string().max(100) }),
])
type CodeQuestion = z.infer<typeof CodeQuestion>
type CodeAnswer = Readonly<Record<string, string | number | boolean | null>>

const elementString = calculation({
  name: 'element-string',
  purpose:
    'What a GS1 code says {raw, today}, or one part of it: check digit {body}, {number}, date {yymmdd, today}, NDC {gtin}, HIBC check {data}.',
  input: CodeQuestion,
  run: (input: CodeQuestion): { result: CodeAnswer; working: Working } => {
    const read = 'raw' in input ? readElementString(input.raw, input.today) : null
    const doubtful = read?.ok ? read.doubtful : []
    return {
      result: answerTo(input),
      working: {
        steps: read && !read.ok ? [read.what] : stepsTo(input),
        sources:
          'data' in input ? [EXCHANGE_SOURCES.hibc] : [EXCHANGE_SOURCES.gs1, EXCHANGE_SOURCES.gs1Century],
        cautions: doubtful.map(
          (ai) => `(${ai}) looks as if a separator was lost in it; it was not split. Read the pack.`,
        ),
      },
    }
  },
})

function answerTo(input: CodeQuestion): CodeAnswer {
  if ('body' in input) return withCheckDigit(input.body)
  if ('number' in input) return { valid: hasCheckDigit(input.number) }
  if ('yymmdd' in input) return { ...readGs1Date(input.yymmdd, input.today) }
  if ('gtin' in input) return { ndc10: ndcOf(input.gtin) }
  if ('data' in input) return { check: hibcCheck(input.data) }
  const read = readElementString(input.raw, input.today)
  if (!read.ok) return { error: read.error }
  const dates = Object.entries(read.dates).map(([ai, date]) => [`${ai}_date`, date])
  return { ...read.elements, ...Object.fromEntries(dates) }
}

/** How an answer comes about, with the digits in it. */
function stepsTo(input: CodeQuestion): string[] {
  if ('body' in input) return [digitStep(input.body)]
  if ('number' in input) return numberSteps(input.number)
  if ('yymmdd' in input) {
    return [`${input.yymmdd} read as YYMMDD, the century that brings it nearest to ${input.today}`]
  }
  if ('gtin' in input) {
    return [
      ...numberSteps(input.gtin),
      'of a US drug: digit 1 any, digits 2 and 3 are 03; the ten after them',
    ]
  }
  if ('data' in input)
    return [`modulo 43 over ${input.data} gives ${hibcCheck(input.data) ?? 'nothing: a sign outside its 43'}`]
  return [`${input.raw} cut into application identifiers; dates by the century nearest to ${input.today}`]
}

function numberSteps(number: string): string[] {
  if (!/^\d{2,}$/.test(number)) return [`${number} is not digits only`]
  return [`${digitStep(number.slice(0, -1))}; ${number} ends in ${number.at(-1)}`]
}

const digitStep = (body: string) =>
  `${body} weighed 3, 1, 3 … from the right: to the next ten is missing ${checkDigit(body)}`

function withCheckDigit(body: string): CodeAnswer {
  const digit = checkDigit(body)
  return { digit, full: `${body}${digit}` }
}

const hibc = calculation({
  name: 'hibc',
  purpose: 'Labeler, product and unit of a HIBC primary code, or why it is refused.',
  input: z.strictObject({ raw: z.string().max(100) }),
  run: ({ raw }) => {
    const result = readHibc(raw)
    const steps = result.ok ? [`modulo 43 over ${raw.slice(0, -1)} gives ${result.check}`] : [result.what]
    return { result, working: { steps, sources: [EXCHANGE_SOURCES.hibc], cautions: [] } }
  },
})

const hl7Message = calculation({
  name: 'hl7-message',
  purpose: 'What an HL7 v2 message says, what is wrong with it, and the answer it gets.',
  input: z.strictObject({
    text: z.string().max(4_000_000),
    timeZone: z.string().refine(isTimeZone, 'an IANA time zone'),
    now: Instant,
  }),
  run: ({ text, timeZone, now }) => {
    const us = { application: 'MISTWRIGHT', facility: '', controlId: 'ANSWER', now }
    const { problems, ...reading } = readHl7(text, { timeZone, codes: MEDICINE_CODES.defaults, us })
    const steps = problems.map(({ where, code, what }) => `${where}: ${code}, ${what}`)
    const working = { steps, sources: [EXCHANGE_SOURCES.hl7], cautions: [] }
    return { result: { ...reading, problems }, working }
  },
})

function frequencyInWords({ everyMinutes, timesPerDay, ...rest }: Frequency): string {
  const also = Object.entries(rest).flatMap(([name, value]) => (value === true ? [name] : []))
  const words = [
    ...(everyMinutes === undefined ? [] : [`every ${everyMinutes} minutes`]),
    ...(timesPerDay === undefined ? [] : [`${timesPerDay} times a day`]),
    ...also,
  ]
  return words.join(', ')
}

const frequency = calculation({
  name: 'frequency',
  purpose: 'What a frequency code (QID, Q4H, Q20M, PRNQ2H, ...) means; a code that is not known is refused.',
  input: z.strictObject({ code: z.string().min(1).max(80) }),
  run: ({ code }) => {
    const result = readFrequencyCode(code)
    if (!result)
      throw new BadInput('code', code, 'a code of HL7 table 0335 that is read here, such as QID or Q4H')
    const inMinutes = /^Q\d+M$/i.test(code.trim())
    const cautions = inMinutes ? [`${code} is every ${result.everyMinutes} minutes, not hours.`] : []
    const steps = [`${code}: ${frequencyInWords(result)}`]
    return { result, working: { steps, sources: [EXCHANGE_SOURCES.repeatPattern], cautions } }
  },
})

/** What this subject computes when asked by name. */
export const EXCHANGE_CALCULATIONS: readonly Calculation[] = [elementString, hibc, hl7Message, frequency]
