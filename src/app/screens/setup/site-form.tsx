import { ISOLATION } from '../../../chart/documents/isolation.ts'
import type { Site } from '../../../chart/documents/site.ts'
import { CUP_KINDS } from '../../../clinical/aerosol/cup-kinds.ts'
import { useDocument } from '../../local/hooks.ts'
import { Choice } from '../../parts/choice.tsx'
import { MultiChoice } from '../../parts/multi-choice.tsx'
import { TextEntry } from '../../parts/text-entry.tsx'
import { problemAt } from './document-draft.ts'
import { fieldWords } from './field-words.ts'
import { DocumentNumber, type FormProps } from './form-parts.tsx'
import { linesOf } from './times-text.ts'

const CARRIES = ['patient GSRN', 'record number', 'either'] as const
const YES_NO = [
  { value: 'yes', label: 'Yes, under conditions' },
  { value: 'no', label: 'No' },
] as const

/** How this hospital does what hospitals do differently, field by field. */
export function SiteForm(props: FormProps<Site>) {
  return (
    <div className="stack stack-wide">
      <Hospital {...props} />
      <Runs {...props} />
      <Precautions {...props} />
      <Scanning {...props} />
      <CupChange {...props} />
    </div>
  )
}

function Hospital({ content, problems, onChange }: FormProps<Site>) {
  const { shifts } = content
  return (
    <section className="stack">
      <div className="side-by-side">
        <TextEntry
          label="Name of the hospital"
          value={content.facilityName}
          onChange={(facilityName) => onChange({ ...content, facilityName })}
          problem={problemAt(problems, 'facilityName')}
        />
        <TextEntry
          label="Time zone"
          value={content.timeZone}
          onChange={(timeZone) => onChange({ ...content, timeZone })}
          problem={problemAt(problems, 'timeZone')}
        />
        <TextEntry
          label="The day shift begins at"
          value={shifts.dayFrom}
          onChange={(dayFrom) => onChange({ ...content, shifts: { ...shifts, dayFrom } })}
          problem={problemAt(problems, 'shifts')}
        />
        <TextEntry
          label="The night shift begins at"
          value={shifts.nightFrom}
          onChange={(nightFrom) => onChange({ ...content, shifts: { ...shifts, nightFrom } })}
        />
      </div>
      <div className="figures">
        <DocumentNumber
          name="A tablet locks itself after"
          unit="min"
          low={1}
          high={60}
          value={content.lockAfterMinutes}
          onChange={(minutes) => minutes !== null && onChange({ ...content, lockAfterMinutes: minutes })}
          problem={problemAt(problems, 'lockAfterMinutes')}
        />
        {content.useWithinMinutes && (
          <DocumentNumber
            name="A prepared cup is used within"
            unit="min"
            low={5}
            high={1440}
            value={content.useWithinMinutes.minutes}
            onChange={(minutes) =>
              minutes !== null &&
              onChange({
                ...content,
                useWithinMinutes: { source: content.useWithinMinutes?.source ?? '', minutes },
              })
            }
            problem={problemAt(problems, 'useWithinMinutes')}
          />
        )}
      </div>
    </section>
  )
}

function Runs({ content, problems, onChange }: FormProps<Site>) {
  const { severalAtOnce, mayLeaveDuringRun } = content
  return (
    <section className="stack">
      <h3 className="voice-head">While treatments run</h3>
      <div className="figures">
        <DocumentNumber
          name="One therapist runs at most"
          unit="at a time"
          low={1}
          high={6}
          value={severalAtOnce.maximumRunning}
          onChange={(maximumRunning) =>
            maximumRunning !== null &&
            onChange({ ...content, severalAtOnce: { ...severalAtOnce, maximumRunning } })
          }
          problem={problemAt(problems, 'severalAtOnce.maximumRunning')}
        />
      </div>
      <Conditions
        label="Conditions for more than one, a line each"
        conditions={severalAtOnce.conditions}
        onChange={(conditions) => onChange({ ...content, severalAtOnce: { ...severalAtOnce, conditions } })}
        problem={problemAt(problems, 'severalAtOnce.conditions')}
      />
      <Choice
        label="May the therapist leave while it runs?"
        options={YES_NO}
        tileRem={13}
        value={mayLeaveDuringRun.allowed ? 'yes' : 'no'}
        onChange={(answer) =>
          onChange({ ...content, mayLeaveDuringRun: { ...mayLeaveDuringRun, allowed: answer === 'yes' } })
        }
      />
      <Conditions
        label="Conditions for leaving, a line each"
        conditions={mayLeaveDuringRun.conditions}
        onChange={(conditions) =>
          onChange({ ...content, mayLeaveDuringRun: { ...mayLeaveDuringRun, conditions } })
        }
        problem={problemAt(problems, 'mayLeaveDuringRun.conditions')}
      />
    </section>
  )
}

/** The text box keeps what is typed; trailing blanks and empty lines go when the field is left. */
function Conditions({
  label,
  conditions,
  onChange,
  problem,
}: {
  readonly label: string
  readonly conditions: readonly string[]
  readonly onChange: (conditions: string[]) => void
  readonly problem: string | undefined
}) {
  return (
    <TextEntry
      label={label}
      lines={4}
      value={conditions.join('\n')}
      onChange={(text) => onChange(text === '' ? [] : text.split('\n'))}
      onBlur={() => onChange(linesOf(conditions.join('\n')))}
      problem={problem}
    />
  )
}

function Precautions({ content, problems, onChange }: FormProps<Site>) {
  const { categories } = useDocument(ISOLATION)
  const { byCategory } = content.nebulizingIsAerosolGenerating
  const named = new Map(categories.map(({ code, name }) => [code, name]))
  const decided = new Set(byCategory.map(({ category }) => category))
  const codes = [...new Set([...named.keys(), ...decided])]
  return (
    <MultiChoice
      label="Nebulizing counts as aerosol-generating in"
      tileRem={12}
      options={codes.map((value) => ({ value, label: named.get(value) ?? value }))}
      value={byCategory.filter(({ counts }) => counts).map(({ category }) => category)}
      onChange={(counting) =>
        onChange({
          ...content,
          nebulizingIsAerosolGenerating: {
            ...content.nebulizingIsAerosolGenerating,
            byCategory: codes
              .map((category) => ({ category, counts: counting.includes(category) }))
              // A category that nobody decided on stays undecided.
              .filter(({ category, counts }) => counts || decided.has(category)),
          },
        })
      }
      problem={problemAt(problems, 'nebulizingIsAerosolGenerating')}
    />
  )
}

function Scanning({ content, problems, onChange }: FormProps<Site>) {
  return (
    <section className="stack">
      <h3 className="voice-head">Scanning</h3>
      <Choice
        label="The wristband's code carries"
        options={CARRIES.map((value) => ({ value, label: value }))}
        value={content.wristband.carries}
        onChange={(carries) => onChange({ ...content, wristband: { ...content.wristband, carries } })}
      />
      <div className="measure">
        <TextEntry
          label="What the scanner types for the separator"
          hint="One sign. Leave it empty when the scanner sends the separator itself."
          maxLength={1}
          value={content.scannerSeparatorSubstitute ?? ''}
          onChange={(sign) => onChange({ ...content, scannerSeparatorSubstitute: sign === '' ? null : sign })}
          problem={problemAt(problems, 'scannerSeparatorSubstitute')}
        />
      </div>
    </section>
  )
}

function CupChange({ content, problems, onChange }: FormProps<Site>) {
  const { byKind } = content.cupChangeEveryHours
  const set = (kind: (typeof CUP_KINDS)[number], hours: number | null) => {
    const { [kind]: _, ...others } = byKind
    const next = hours === null ? others : { ...others, [kind]: hours }
    onChange({ ...content, cupChangeEveryHours: { ...content.cupChangeEveryHours, byKind: next } })
  }
  return (
    <section className="stack">
      <h3 className="voice-head">A cup is changed every</h3>
      <div className="figures">
        {CUP_KINDS.map((kind) => (
          <DocumentNumber
            key={kind}
            name={fieldWords(kind)}
            unit="h"
            low={1}
            high={24 * 62}
            value={byKind[kind] ?? null}
            onChange={(hours) => set(kind, hours)}
            problem={problemAt(problems, `cupChangeEveryHours.byKind.${kind}`)}
          />
        ))}
      </div>
    </section>
  )
}
