import { useState } from 'react'
import { useBring, useIsWhole } from '../../local/hooks.ts'
import { Button } from '../../parts/button.tsx'
import { Strip } from '../../parts/strip.tsx'

/**
 * Says so when only part of a patient's record is on this tablet: what was given before, and what it adds up to, may be
 * missing then.
 */
export function NotWhole({ patientId }: { readonly patientId: string }) {
  const isWhole = useIsWhole(patientId)
  const bring = useBring()
  const [busy, setBusy] = useState(false)
  const [problem, setProblem] = useState<string | null>(null)
  if (isWhole !== false) return null
  const fetchAll = async () => {
    setBusy(true)
    const answer = await bring(patientId)
    setBusy(false)
    setProblem(answer.ok ? null : `${answer.what} ${answer.todo}`)
  }
  return (
    <Strip
      kind="caution"
      word="Not the whole record."
      action={
        <Button isPending={busy} onPress={fetchAll}>
          Fetch the rest
        </Button>
      }
    >
      This tablet may not know of every order and every dose of this patient: doses before, gaps and sums over
      the day are of what is here. Look at the record elsewhere before you give anything.
      {problem !== null && ` ${problem}`}
    </Strip>
  )
}
