import type { Worked } from '../../../clinical/worked.ts'

/**
 * A figure whose working is written only when somebody opens it: figures are made at every move of a dial, their
 * workings seldom read.
 */
export function lazyWorked(
  shown: Pick<Worked, 'value' | 'unit' | 'spread' | 'caution'>,
  explain: () => Worked,
): Worked {
  let made: Worked | null = null
  const full = () => {
    made ??= explain()
    return made
  }
  return {
    ...shown,
    get steps() {
      return full().steps
    },
    get sources() {
      return full().sources
    },
    get validity() {
      return full().validity ?? ''
    },
  }
}
