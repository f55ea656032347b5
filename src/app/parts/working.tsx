import type { Source, Standing, Worked } from '../../clinical/worked.ts'
import { Sheet } from './sheet.tsx'
import { Strip } from './strip.tsx'
import { unitText } from './unit-text.ts'
import './working.css'

/** How well a source stands, in words that need no explaining. */
const STANDING: Readonly<Record<Standing, string>> = {
  verified: 'read in the source',
  'verified-secondary': 'read in a text that quotes it',
  computed: 'computed from stated definitions',
  'from memory': 'known, but not looked up',
  'common practice, no source': 'common practice, no source',
  'design rule': 'a rule of this program',
}

type WorkingSheetProps = {
  readonly title: string
  readonly worked: Worked
  readonly isOpen: boolean
  readonly onClose: () => void
}

/** The working of a figure on a sheet beside the screen. */
export function WorkingSheet({ title, worked, isOpen, onClose }: WorkingSheetProps) {
  return (
    <Sheet title={title} isOpen={isOpen} onClose={onClose}>
      <Working worked={worked} />
    </Sheet>
  )
}

/** How a figure came about: its caution first, then the steps, how far it holds, and the sources. */
export function Working({ worked }: { readonly worked: Worked }) {
  const unit = unitText(worked.unit)
  return (
    <div className="working">
      {worked.caution && <Strip kind="caution">{worked.caution}</Strip>}
      <section>
        <h3>How it was worked out</h3>
        <ol className="working-steps">
          {worked.steps.map((step) => (
            <li key={step}>{step}</li>
          ))}
        </ol>
        <p className="quiet small">
          In full: {String(worked.value)} {unit}
        </p>
      </section>
      {worked.spread && (
        <p>
          Likely between {String(Number(worked.spread.low.toPrecision(3)))} and{' '}
          {String(Number(worked.spread.high.toPrecision(3)))} {unit}.
        </p>
      )}
      {worked.validity && (
        <section>
          <h3>How far it holds</h3>
          <p>{worked.validity}</p>
        </section>
      )}
      <Sources sources={worked.sources} />
    </div>
  )
}

/** Where the formula, the constants and the tables come from. */
export function Sources({ sources }: { readonly sources: readonly Source[] }) {
  if (sources.length === 0) return null
  return (
    <section>
      <h3>Where it is from</h3>
      <ul className="lines">
        {sources.map((source) => (
          <li key={source.key}>
            {source.cite}
            {source.place && `, ${source.place}`}
            <span className="working-standing"> {STANDING[source.standing]}</span>
          </li>
        ))}
      </ul>
    </section>
  )
}
