import { useState } from 'react'
import type { StopSpoken } from '../../../chart/bedside/watch.ts'
import { asOptions } from '../../parts/as-options.ts'
import { Button } from '../../parts/button.tsx'
import { HardStop } from '../../parts/hard-stop.tsx'
import { MultiChoice } from '../../parts/multi-choice.tsx'
import { Sheet } from '../../parts/sheet.tsx'
import { TextEntry } from '../../parts/text-entry.tsx'
import { Sources } from '../../parts/working.tsx'
import { useDesk } from './desk.ts'

/** What a person may see that no figure shows. */
const SEEN = [
  'chest pain',
  'harder to breathe than before',
  'new wheeze or stridor',
  'tremor or shaking',
  'faint, gray or confused',
  'vomiting',
  'wants to stop',
] as const

type StopSheetProps = {
  /** Null: closed. Empty: a person says something is wrong. Otherwise the rules that spoke. */
  readonly spoken: readonly StopSpoken[] | null
  readonly onClose: () => void
  readonly onStop: () => void
}

/** A stop rule takes the screen: what it saw, what to do, whom to call, and the decision, which is the clinician's. */
export function StopSheet({ spoken, onClose, onStop }: StopSheetProps) {
  const byRule = spoken !== null && spoken.length > 0
  return (
    <>
      {byRule && <RulesSpoke spoken={spoken} onClose={onClose} onStop={onStop} />}
      <SomethingSeen isOpen={spoken !== null && !byRule} onClose={onClose} onStop={onStop} />
    </>
  )
}

function RulesSpoke({
  spoken,
  onClose,
  onStop,
}: StopSheetProps & { readonly spoken: readonly StopSpoken[] }) {
  const { act } = useDesk()
  const [reason, setReason] = useState('')
  const [told, setTold] = useState('')
  const decide = async (decision: 'stop' | 'pause' | 'go on') => {
    await act('stop-answered', {
      rules: spoken.map(({ code, what, action }) => ({ code, what, action })),
      seen: '',
      decision,
      reason: reason.trim(),
      told: told.trim(),
    })
    if (decision === 'stop') onStop()
    else onClose()
  }
  const actions = [
    { label: 'Stop the treatment', onPress: () => decide('stop') },
    { label: 'Pause and look', onPress: () => decide('pause') },
    {
      label: reason.trim() === '' ? 'Go on (say why above)' : 'Go on',
      onPress: () => reason.trim() !== '' && decide('go on'),
    },
  ]
  return (
    <HardStop
      isOpen
      title={spoken[0]?.what ?? 'A stop rule spoke.'}
      todo={spoken.map(({ todo }) => todo).join(' ')}
      actions={actions}
    >
      {spoken.slice(1).map(({ code, what }) => (
        <p key={code} className="strong">
          {what}
        </p>
      ))}
      <p>Tell: {[...new Set(spoken.map(({ tell }) => tell))].join('; ')}</p>
      <div className="side-by-side">
        <TextEntry label="Why, if it goes on" value={reason} onChange={setReason} />
        <TextEntry label="Who was told" value={told} onChange={setTold} />
      </div>
      <details>
        <summary>The rule and where it is from</summary>
        <Sources sources={spoken.flatMap(({ sources }) => sources)} />
      </details>
    </HardStop>
  )
}

function SomethingSeen({
  isOpen,
  onClose,
  onStop,
}: {
  readonly isOpen: boolean
  readonly onClose: () => void
  readonly onStop: () => void
}) {
  const { act } = useDesk()
  const [seen, setSeen] = useState<readonly (typeof SEEN)[number][]>([])
  const [words, setWords] = useState('')
  const [told, setTold] = useState('')
  const said = [...seen, ...(words.trim() ? [words.trim()] : [])].join(', ')
  const decide = async (decision: 'stop' | 'pause' | 'go on') => {
    await act('stop-answered', { rules: [], seen: said, decision, reason: '', told: told.trim() })
    setSeen([])
    setWords('')
    if (decision === 'stop') onStop()
    else onClose()
  }
  return (
    <Sheet
      title="What is wrong?"
      isOpen={isOpen}
      onClose={onClose}
      foot={
        <div className="row">
          <Button tone="halt" gloved isDisabled={said === ''} onPress={() => decide('stop')}>
            Stop the treatment
          </Button>
          <Button gloved isDisabled={said === ''} onPress={() => decide('pause')}>
            Pause
          </Button>
          <Button gloved isDisabled={said === ''} onPress={() => decide('go on')}>
            Note it, go on
          </Button>
        </div>
      }
    >
      <div className="stack">
        <MultiChoice label="Seen" options={asOptions(SEEN)} value={seen} onChange={setSeen} tileRem={13} />
        <TextEntry label="In your words" value={words} onChange={setWords} />
        <TextEntry label="Who was told" value={told} onChange={setTold} />
      </div>
    </Sheet>
  )
}
