import { z } from 'zod'
import type { Calculation, Working } from '../calculation.ts'
import { BadInput, type Source } from '../worked.ts'

/** A figure, or several in order, with the sum behind it. A Worked is one. */
export type Figured = {
  readonly value: number | readonly number[]
  /** Each step in words, with the numbers in it. */
  readonly steps: readonly string[]
  /** Sources that depend on the fields, beside those of the answer. */
  readonly sources?: readonly Source[]
  readonly caution?: string
}

/** A figure and the steps that gave it. */
export function figured(value: number | readonly number[], ...steps: readonly string[]): Figured {
  return { value, steps }
}

/** A number as a step shows it: four figures, and whole numbers whole. */
export function shown(value: number | readonly number[]): string {
  if (typeof value !== 'number') return value.map(shown).join(', ')
  return Number.isInteger(value) ? String(value) : String(Number(value.toPrecision(4)))
}

/** One quantity that a calculation can give from its fields. */
export type Answer<Input> = {
  /** Short name; itself matched by `asked`. */
  readonly name: string
  /** Wordings by which it may be asked for; what the wording says (a size, a region) is read from it. */
  readonly asked: RegExp
  /** UCUM code. */
  readonly unit: string
  /** Fields without which it cannot be given. */
  readonly needs: readonly (keyof Input & string)[]
  /** Whether it belongs in a list of all answers to these fields; every answer does when left out. */
  readonly listed?: (input: Input) => boolean
  readonly value: (input: Input, wording: string) => Figured
  /** Left out where the figure brings its own. */
  readonly sources?: readonly Source[]
}

type Fields<Shape extends z.ZodRawShape> = z.infer<z.ZodObject<Shape>>
type With<Input, Need extends keyof Input> = Input & { readonly [Field in Need]-?: NonNullable<Input[Field]> }

/**
 * Ties the answers of a calculation to its fields: those named in `needs` are there when `value` is asked.
 */
export function answersFrom<Shape extends z.ZodRawShape>(_fields: Shape) {
  return <Need extends keyof Fields<Shape> & string>(
    answer: Omit<Answer<Fields<Shape>>, 'needs' | 'value'> & {
      readonly needs: readonly Need[]
      readonly value: (input: With<Fields<Shape>, Need>, wording: string) => Figured
    },
  ): Answer<Fields<Shape>> => ({
    ...answer,
    value: (input, wording) => answer.value(input as With<Fields<Shape>, Need>, wording), // give() has looked
  })
}

type Given = {
  readonly quantity: string
  readonly unit: string
  readonly value: number | readonly number[]
}

/** A field that may carry one number or several; several give several answers, in order. */
export const oneOrMore = z.union([z.number(), z.array(z.number()).min(1)])

/** The values of such a field. */
export function each(value: number | readonly number[]): readonly number[] {
  return typeof value === 'number' ? [value] : value
}

/**
 * A calculation that answers by quantity: the one that is asked for, or, without `quantity`, all that the given fields
 * suffice for.
 */
export function answering<Shape extends z.ZodRawShape>(definition: {
  readonly name: string
  readonly purpose: string
  readonly fields: Shape
  readonly answers: readonly Answer<Fields<Shape>>[]
  readonly cautions?: readonly string[]
}): Calculation {
  type Input = Fields<Shape>
  const input = z.strictObject({ ...definition.fields, quantity: z.string().optional() })
  return {
    name: definition.name,
    purpose: definition.purpose,
    input: input as unknown as z.ZodType<unknown>,
    run: (asking) => {
      const { quantity, ...fields } = asking as Input & { quantity?: string }
      const asked =
        quantity === undefined ? possible(definition.answers, fields as Input) : [named(definition, quantity)]
      const given = asked.map((answer) => give(answer, fields as Input, quantity ?? answer.name))
      const results = given.map(({ result }) => result)
      return {
        result: quantity === undefined ? results : results[0],
        working: workingOf(given, definition.cautions ?? []),
      }
    },
  }
}

/** Each figure's own steps under its name, closed by the figure; sources and cautions once. */
function workingOf(given: readonly Answered[], cautions: readonly string[]): Working {
  const steps = given.flatMap(({ result: { quantity, unit, value }, figure }) => [
    ...figure.steps.map((step) => `${quantity}: ${step}`),
    `${quantity}: ${shown(value)}${unit === '1' ? '' : ` ${unit}`}`,
  ])
  const told = given.flatMap(({ figure }) => figure.caution ?? [])
  return {
    steps,
    sources: [...new Set(given.flatMap(({ sources }) => sources))],
    cautions: [...new Set([...cautions, ...told])],
  }
}

function named<Input>(
  { answers }: { readonly answers: readonly Answer<Input>[] },
  quantity: string,
): Answer<Input> {
  const found = answers.find(({ asked }) => asked.test(quantity))
  if (!found) throw new BadInput('quantity', quantity, answers.map(({ name }) => name).join('; '))
  return found
}

/** Answers whose fields are all given; those that need none come only when nothing else does. */
function possible<Input extends object>(
  answers: readonly Answer<Input>[],
  fields: Input,
): readonly Answer<Input>[] {
  const has = ({ needs, listed }: Answer<Input>) =>
    needs.every((field) => Object.hasOwn(fields, field)) && (listed?.(fields) ?? true)
  const found = answers.filter((answer) => answer.needs.length > 0 && has(answer))
  if (found.length > 0) return found
  const free = answers.filter(({ needs }) => needs.length === 0)
  if (free.length > 0) return free
  const wanted = answers.map(({ name, needs }) => `${needs.join(' and ')} (${name})`).join('; ')
  throw new BadInput('fields', Object.keys(fields).join(', ') || 'none', wanted)
}

type Answered = {
  readonly result: Given
  readonly figure: Figured
  readonly sources: readonly Source[]
}

function give<Input>(answer: Answer<Input>, fields: Input, wording: string): Answered {
  for (const field of answer.needs) {
    if (fields[field] === undefined) throw new BadInput(field, undefined, `needed for: ${answer.name}`)
  }
  const figure = answer.value(fields, wording)
  return {
    result: { quantity: wording, unit: answer.unit, value: figure.value },
    figure,
    sources: [...(answer.sources ?? []), ...(figure.sources ?? [])],
  }
}
