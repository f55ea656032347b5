import type { Source } from '../../worked.ts'
import { type Backed, standsFirm } from '../formulary/backing.ts'
import type { Formulary } from '../formulary/formulary.ts'
import type { Medicine } from '../formulary/medicine-schema.ts'
import { ANY_OTHER, type Pair } from '../formulary/mixing-schema.ts'
import { once, sourcesOnce } from '../working.ts'

/** Liquids that only fill up a cup. */
export const DILUENTS: readonly string[] = ['sodium-chloride-0.9', 'sterile-water']

/** `share`: nothing read speaks against it; `ask`: the pharmacist, or the prescriber, decides; `refuse`: by default not. */
export type Verdict = 'share' | 'ask' | 'refuse'

type LabelPosition = 'allows' | 'forbids' | 'not established' | 'silent'

/** What is known of two drugs in one cup: the laboratory's fact and the label's word side by side, and what follows. */
export type PairFacts = {
  readonly a: string
  readonly b: string
  readonly verdict: Verdict
  readonly inVitro: Pair['inVitro']
  readonly label: { readonly position: LabelPosition; readonly text: string }
  readonly duplicate: boolean
  readonly useWithinMin: number | null
  readonly why: string
  readonly notes: readonly string[]
  readonly sources: readonly Source[]
}

const NO_DATA: Backed = { status: 'design rule', sources: ['no-data'] }
const LABEL_FIRST: Backed = { status: 'design rule', sources: ['label-first'] }

/**
 * What was published about two drugs, or a drug and a diluent, in one cup. The order of the two does not matter. A
 * pair that no source speaks of is no data, and no data is a question, never a yes.
 */
export function pairFacts(formulary: Formulary, a: string, b: string): PairFacts {
  const pair = published(formulary, a, b)
  const labels = labelWords(formulary, pair, a, b)
  const decided = decide(pair, labels, [a, b], pair ? formulary.sources(pair) : [])
  return {
    a,
    b,
    verdict: decided.verdict,
    inVitro: pair?.inVitro ?? 'no data',
    label: { position: labels.position, text: labels.texts.join('; ') },
    duplicate: a === b || (pair?.duplicate ?? false),
    useWithinMin: pair?.useWithinMin ?? null,
    why: decided.why,
    notes: [pair?.tested && `tested: ${pair.tested}`, pair?.note].filter((note) => note !== undefined),
    sources: sourcesOnce([
      ...(pair ? formulary.sources(pair) : formulary.sources(NO_DATA)),
      ...labels.sources,
      ...(labels.position === 'forbids' ? formulary.sources(LABEL_FIRST) : []),
    ]),
  }
}

/** The entry about exactly these two; failing that, one about either and any other drug, the stricter of two. */
function published(formulary: Formulary, a: string, b: string): Pair | null {
  const { pairs } = formulary.document.mixing
  const between = (x: string, y: string) => pairs.find((pair) => pair.a === x && pair.b === y)
  const exactly = between(a, b) ?? between(b, a)
  if (exactly) return exactly
  const ofEither = [between(a, ANY_OTHER), between(b, ANY_OTHER)].flatMap((pair) => pair ?? [])
  return ofEither.find(({ inVitro }) => inVitro === strictestFound(ofEither)) ?? null
}

/** What the laboratory may have found, what speaks most against one cup first. */
const FOUND: readonly Pair['inVitro'][] = ['incompatible', 'no data', 'used together in trial', 'compatible']

/** Of several findings, the one that speaks most against one cup. */
export function strictestFound(pairs: readonly Pick<Pair, 'inVitro'>[]): Pair['inVitro'] {
  return FOUND.find((each) => pairs.some(({ inVitro }) => inVitro === each)) ?? 'no data'
}

type LabelWords = {
  readonly position: LabelPosition
  readonly texts: readonly string[]
  readonly sources: readonly Source[]
}

/** Labels speak in the pair's own entry and in each drug's; the strictest word counts, all are kept. */
function labelWords(formulary: Formulary, pair: Pair | null, a: string, b: string): LabelWords {
  const own = [speaks(formulary.medicine(a), b), speaks(formulary.medicine(b), a)].flatMap(
    (each) => each ?? [],
  )
  const positions = [...(pair?.label ? [pair.label.position] : []), ...own.map(({ position }) => position)]
  // a drug's own word adds nothing where the pair's entry says the same
  const more = own.filter(({ position }) => position !== pair?.label?.position)
  return {
    position: strictestLabel(positions),
    texts: once([...(pair?.label ? [pair.label.text] : []), ...more.map(({ text }) => text)]),
    sources: own.flatMap((each) => formulary.sources(each)),
  }
}

/** Of what several labels say, the word that speaks most against one cup. */
export function strictestLabel(positions: readonly LabelPosition[]): LabelPosition {
  return (
    (['forbids', 'not established', 'allows'] as const).find((each) => positions.includes(each)) ?? 'silent'
  )
}

/** A label about mixing with drugs says nothing against a diluent, unless the drug is to be undiluted. */
function speaks(medicine: Medicine | null, other: string) {
  if (!medicine?.alone) return null
  return DILUENTS.includes(other) && !medicine.undiluted ? null : medicine.alone
}

function decide(
  pair: Pair | null,
  labels: LabelWords,
  ids: readonly string[],
  sources: readonly Source[],
): { readonly verdict: Verdict; readonly why: string } {
  if (ids[0] === ids[1]) return { verdict: 'ask', why: 'the same drug twice: ask whether both are meant' }
  if (pair?.duplicate) return { verdict: 'ask', why: 'two drugs of one kind: ask whether both are meant' }
  if (labels.position === 'forbids') {
    return {
      verdict: 'refuse',
      why: `a label forbids it, whatever the laboratory found: ${labels.texts.join('; ')}`,
    }
  }
  if (pair?.inVitro === 'incompatible') return { verdict: 'refuse', why: 'they do not stay whole together' }
  if (pair === null || pair.inVitro === 'no data') {
    return { verdict: 'ask', why: 'no data were found: ask the pharmacist' }
  }
  if (pair.inVitro === 'used together in trial') {
    return { verdict: 'ask', why: 'given together in a trial, without laboratory data: ask the pharmacist' }
  }
  if (labels.position === 'not established') {
    return {
      verdict: 'ask',
      why: `stable in the laboratory, yet ${labels.texts.join('; ')}: ask the pharmacist`,
    }
  }
  const withDiluent = ids.some((id) => DILUENTS.includes(id))
  if (!standsFirm(sources) && !withDiluent) {
    return { verdict: 'ask', why: 'said to be compatible, from memory only: ask the pharmacist' }
  }
  const footing = standsFirm(sources) ? '' : ', from memory only'
  return { verdict: 'share', why: `compatible${withDiluent ? ' with the diluent' : ''}${footing}` }
}

/** The shortest time that any of several pairs may wait; null when none is published. */
export function shortestTime(pairs: readonly PairFacts[]): number | null {
  const times = pairs.flatMap(({ useWithinMin }) => useWithinMin ?? [])
  return times.length === 0 ? null : Math.min(...times)
}

/** Of several pairs, the word that speaks most against one cup. */
export function strictestVerdict(pairs: readonly PairFacts[]): Verdict {
  return (['refuse', 'ask'] as const).find((each) => pairs.some(({ verdict }) => verdict === each)) ?? 'share'
}

/**
 * Every pair among the drugs of a cup: combinations taken apart, each drug once; and a drug with itself that comes out
 * of two products. Two units of one product are one dose.
 */
export function pairsOf(formulary: Formulary, ids: readonly string[]): readonly PairFacts[] {
  const parts = once(ids).flatMap((id) => componentsOf(formulary, id))
  const single = once(parts)
  const twice = single.filter((id) => parts.indexOf(id) !== parts.lastIndexOf(id))
  const pairs = single.flatMap((a, at) =>
    single
      .slice(at + 1)
      .filter((b) => !(DILUENTS.includes(a) && DILUENTS.includes(b)))
      .filter((b) => !fromOneProduct(formulary, ids, a, b))
      .map((b) => pairFacts(formulary, a, b)),
  )
  return [...pairs, ...twice.map((id) => pairFacts(formulary, id, id))]
}

/** The drugs in a product: those of a combination, otherwise itself. */
export function componentsOf(formulary: Formulary, id: string): readonly string[] {
  const components = formulary.medicine(id)?.components
  return components?.map(({ medicineId }) => medicineId) ?? [id]
}

/** Two drugs that the maker put into one vial need no leave to be together. */
function fromOneProduct(formulary: Formulary, ids: readonly string[], a: string, b: string): boolean {
  return ids.some((id) => {
    const parts = formulary.medicine(id)?.components?.map(({ medicineId }) => medicineId) ?? []
    return parts.includes(a) && parts.includes(b)
  })
}
