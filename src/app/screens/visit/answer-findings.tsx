import { useState } from 'react'
import type { BedsideFinding } from '../../../chart/bedside/finding.ts'
import { Button } from '../../parts/button.tsx'
import { Choice } from '../../parts/choice.tsx'
import { Sheet } from '../../parts/sheet.tsx'
import { Strip, type StripKind } from '../../parts/strip.tsx'
import { TextEntry } from '../../parts/text-entry.tsx'

/** What was answered to a finding, by its code. */
export type Answers = Readonly<Record<string, string>>

const KINDS: Readonly<Record<BedsideFinding['severity'], StripKind>> = {
  stop: 'halt',
  ask: 'caution',
  caution: 'caution',
  note: 'note',
}

/** How many findings still want an answer; notes want none. */
export function unanswered(findings: readonly BedsideFinding[], answers: Answers): number {
  return findings.filter(({ code, severity }) => severity !== 'note' && !answers[code]).length
}

type AnswerFindingsProps = {
  readonly findings: readonly BedsideFinding[]
  readonly answers: Answers
  readonly onChange: (answers: Answers) => void
}

/** Each finding with what it says, why, and its source one press away; a caution is answered in one press or in words. */
export function AnswerFindings({ findings, answers, onChange }: AnswerFindingsProps) {
  const [open, setOpen] = useState<BedsideFinding | null>(null)
  if (findings.length === 0) return <p className="quiet">Nothing on the chart speaks against it.</p>
  return (
    <div className="stack">
      {findings.map((finding) => (
        <Strip
          key={finding.code}
          kind={KINDS[finding.severity]}
          action={
            <Button onPress={() => setOpen(finding)}>
              {finding.severity === 'note' ? 'Why' : answers[finding.code] ? 'Answered' : 'Answer'}
            </Button>
          }
        >
          {finding.what}
          {answers[finding.code] && <div className="quiet">{answers[finding.code]}</div>}
        </Strip>
      ))}
      <Sheet title={open?.what ?? ''} isOpen={open !== null} onClose={() => setOpen(null)}>
        {open && (
          <AnswerOne
            finding={open}
            onAnswer={(answer) => {
              onChange({ ...answers, [open.code]: answer })
              setOpen(null)
            }}
          />
        )}
      </Sheet>
    </div>
  )
}

const COMMON_ANSWERS = [
  { value: 'checked at the bedside, not present now', label: 'Checked at the bedside, not present now' },
  { value: 'known; prescriber wants it given', label: 'Known; the prescriber wants it given' },
  { value: 'seen; will watch for it', label: 'Seen; will watch for it' },
] as const

function AnswerOne({
  finding,
  onAnswer,
}: {
  readonly finding: BedsideFinding
  readonly onAnswer: (answer: string) => void
}) {
  const [words, setWords] = useState('')
  // What must stop a dose is not waved on with a habit: it wants the name of whoever said so.
  const common = finding.severity === 'stop' ? [] : COMMON_ANSWERS
  return (
    <div className="stack">
      <p>{finding.why}</p>
      {finding.severity !== 'note' && (
        <>
          {common.length > 0 && (
            <Choice label="Answer" tileRem={18} options={common} value={null} onChange={onAnswer} />
          )}
          <TextEntry
            label={
              finding.severity === 'stop'
                ? 'On whose word it is given all the same, and why'
                : 'Or in your words'
            }
            lines={3}
            value={words}
            onChange={setWords}
          />
          <Button
            tone="primary"
            gloved
            isDisabled={words.trim().length < 3}
            onPress={() => onAnswer(words.trim())}
          >
            Keep this answer
          </Button>
        </>
      )}
      <section>
        <h3>Where it is from</h3>
        <ul className="lines">
          {finding.sources.map((source) => (
            <li key={source}>{source}</li>
          ))}
        </ul>
      </section>
    </div>
  )
}
