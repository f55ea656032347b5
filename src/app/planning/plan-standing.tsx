import { useState } from 'react'
import { Button } from '../parts/button.tsx'
import { Sheet } from '../parts/sheet.tsx'
import { Strip } from '../parts/strip.tsx'
import { ChangeList } from './change-list.tsx'
import { capital, counted } from './in-words.ts'
import type { PlanPicture } from './plan-picture.ts'
import { TrialBody } from './trial-sheet.tsx'
import { useIssue, usePlanned, useWhyNoIssue } from './use-planner.ts'

type Words = { readonly kind: 'note' | 'caution'; readonly word: string; readonly text: string }

/** How the plan on the screen stands to the one given out: the same, changed by what happened, or two side by side. */
export function PlanStanding({
  picture,
  onlyFor = null,
}: {
  readonly picture: PlanPicture
  /** Whose round is looked at: what the newest plan changed for them is said. */
  readonly onlyFor?: string | null
}) {
  const { issue, offer } = usePlanned()
  const give = useIssue()
  const [open, setOpen] = useState<'changes' | 'offer' | 'log' | null>(null)
  const mayIssue = useWhyNoIssue() === null
  const words = wordsFor(picture)
  return (
    <div className="stack stack-close no-print">
      {words ? (
        <Strip
          kind={words.kind}
          word={words.word}
          action={
            <div className="row">
              {picture.changes.length > 0 && <Button onPress={() => setOpen('changes')}>What changes</Button>}
              {mayIssue && issue && (
                <Button tone="primary" onPress={() => void give(issue)}>
                  Give this plan out
                </Button>
              )}
            </div>
          }
        >
          {words.text}
        </Strip>
      ) : (
        <div className="row">
          <p className="quiet small">{[picture.standingWords, newsFor(picture, onlyFor)].join(' ')}</p>
          {picture.log.length > 0 && (
            <Button tone="quiet" onPress={() => setOpen('log')}>
              Promises changed so far
            </Button>
          )}
        </div>
      )}
      {picture.pinsApart.length > 0 && (
        <Strip kind="caution" word="One visit, placed twice.">
          {picture.pinsApart.map((each) => (
            <p key={each}>{each}</p>
          ))}
          <p>Talk, then press its time and place it again, or take the pin off.</p>
        </Strip>
      )}
      {offer && (
        <Strip
          kind="note"
          word="A better plan was found."
          action={<Button onPress={() => setOpen('offer')}>Look</Button>}
        >
          {offer.brings.join(' ')} {counted(offer.changes.length, 'promise')} would change.
        </Strip>
      )}
      <Sheet title="What changes" isOpen={open === 'changes'} onClose={() => setOpen(null)}>
        <div className="stack">
          {picture.since.length > 0 && <SinceList since={picture.since} />}
          <ChangeList changes={picture.changes} />
        </div>
      </Sheet>
      <Sheet title="Promises changed so far" isOpen={open === 'log'} onClose={() => setOpen(null)}>
        <ChangeList changes={picture.log} />
      </Sheet>
      <Sheet title="A better plan" isOpen={open === 'offer'} onClose={() => setOpen(null)}>
        {offer && <TrialBody trial={offer} onDone={() => setOpen(null)} />}
      </Sheet>
    </div>
  )
}

function wordsFor({ standing, changes, standingWords, since }: PlanPicture): Words | null {
  switch (standing) {
    case 'given out':
      return null
    case 'not given out':
      return { kind: 'note', word: 'A proposal.', text: 'Nobody was promised anything yet.' }
    case 'differs':
      return {
        kind: 'caution',
        word: 'The plan has changed.',
        text: `${standingWords} ${sinceWords(since)}${capital(counted(changes.length, 'promise'))} cannot stand as shown.`,
      }
    case 'two plans':
      return {
        kind: 'caution',
        word: 'Two plans stand side by side.',
        text: 'Two tablets gave out different plans. Talk, then give out one of them for everybody.',
      }
  }
}

/** What the plan in force changed for one person, counted; nothing when it changed nothing of theirs. */
function newsFor({ log, planId }: PlanPicture, personId: string | null): string {
  const mine = log.filter((entry) => entry.planId === planId && entry.people.includes(personId ?? ''))
  if (mine.length === 0) return ''
  return `It changed ${counted(mine.length, 'promise')} of yours.`
}

function SinceList({ since }: { readonly since: readonly string[] }) {
  return (
    <section>
      <h3>What happened since</h3>
      <ul className="lines">
        {since.map((words) => (
          <li key={words}>{words}</li>
        ))}
      </ul>
    </section>
  )
}

/** The latest that happened, in a few words; the rest is under What changes. */
function sinceWords(since: readonly string[]): string {
  if (since.length === 0) return ''
  const more = since.length - SHOWN
  return `Since then: ${since.slice(-SHOWN).join('; ')}${more > 0 ? ` and ${more} more` : ''}. `
}

const SHOWN = 2
