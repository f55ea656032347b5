import type { Working } from '../calculation.ts'
import type { Source, Worked } from '../worked.ts'

/** The working of a result made of several figures: each step, source and caution once, in the order met. */
export function workingOf(figures: readonly Worked[]): Working {
  return {
    steps: once(figures.flatMap((figure) => figure.steps)),
    sources: sourcesOnce(figures.flatMap((figure) => figure.sources)),
    cautions: once(figures.flatMap((figure) => (figure.caution === undefined ? [] : [figure.caution]))),
  }
}

export function once<T>(items: readonly T[]): T[] {
  return [...new Set(items)]
}

export function sourcesOnce(sources: readonly Source[]): Source[] {
  return [...new Map(sources.map((source) => [source.key, source])).values()]
}
