import { useState } from 'react'
import type { Difference } from '../../../chart/stages/identify.ts'
import { compareLabel, type LabelSeen } from '../../../chart/stages/match-label.ts'
import { CameraScan } from '../../camera/camera-scan.tsx'
import { Button } from '../../parts/button.tsx'
import { HardStop } from '../../parts/hard-stop.tsx'
import { Strip } from '../../parts/strip.tsx'
import { TextEntry } from '../../parts/text-entry.tsx'
import { useScanner } from '../../parts/use-scanner.ts'
import type { Bedside } from './bedside.ts'
import { useDesk } from './desk.ts'

/** Before the start: the label on the cup must be the one of this patient, this order and this preparation. */
export function LabelCheck({ bedside }: { readonly bedside: Bedside }) {
  const { visit, patient, terms, now, clock, act } = useDesk()
  const [typed, setTyped] = useState('')
  const [problem, setProblem] = useState<string | null>(null)
  const [differences, setDifferences] = useState<readonly Difference[]>([])

  const compare = async (seen: LabelSeen, how: 'scanned' | 'typed') => {
    setProblem(null)
    const useBy = visit.prepared ? bedside.usableUntil(visit.prepared.at) : null
    const compared = compareLabel(seen, { patient, placer: terms.placer, visit, now, useBy, clock })
    if (compared.ok) {
      await act('preparation-checked', { labelCode: visit.prepared?.body.labelCode ?? '', how })
      return
    }
    setDifferences(compared.differences)
    await act('identity-refused', { of: 'preparation', how, differences: [...compared.differences] })
  }
  const scanned = (scan: string) => {
    const seen = bedside.readLabel(scan)
    if ('refused' in seen) setProblem(seen.refused)
    else void compare(seen, 'scanned')
  }
  useScanner(true, scanned)

  /** What was prepared does not stand any more: the visit goes back to making it up. */
  const makeAnew = async () => {
    setDifferences([])
    const corrects = visit.prepared?.factId
    if (corrects) await act('entry-struck', { reason: 'the cup is discarded and made up anew' }, { corrects })
  }
  return (
    <div className="stack">
      <p className="voice">Scan the label on the cup: it must be the one that was made for this patient.</p>
      <div className="row">
        <CameraScan of="the label" onScan={scanned} />
      </div>
      {problem !== null && (
        <Strip kind="caution" word="The label cannot be used." spoken>
          {problem}
        </Strip>
      )}
      <div className="row">
        <TextEntry label="Code under the square, typed" value={typed} onChange={setTyped} />
        <Button
          isDisabled={typed.trim() === ''}
          onPress={() => compare({ labelCode: typed.trim() }, 'typed')}
        >
          Compare
        </Button>
      </div>
      <div className="row">
        <Button tone="quiet" onPress={makeAnew}>
          No label on it: discard it, make it up anew
        </Button>
      </div>
      <HardStop
        isOpen={differences.length > 0}
        title="This is not the cup of this visit."
        differences={differences}
        todo="Give nothing from it. Find out whose it is before it is put down. It is on the record that this did not agree."
        actions={[
          { label: 'Scan the right one', onPress: () => setDifferences([]) },
          { label: 'Discard it, make it up anew', onPress: makeAnew },
        ]}
      />
    </div>
  )
}
