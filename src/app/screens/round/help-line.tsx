import { useState } from 'react'
import { Button } from '../../parts/button.tsx'
import { Sheet } from '../../parts/sheet.tsx'
import type { PlanPicture } from '../../planning/plan-picture.ts'
import { usePlanner } from '../../planning/use-planner.ts'

/** Where something is late or given up: what help would put it right, computed when it is asked for. */
export function HelpLine({ picture }: { readonly picture: PlanPicture }) {
  const planner = usePlanner()
  const [said, setSaid] = useState<readonly string[] | null>(null)
  const [isOpen, setOpen] = useState(false)
  const late = picture.columns.some((column) => column.late > 0)
  if (!late && picture.givenUp.length === 0) return null
  const look = async () => {
    setOpen(true)
    setSaid(null)
    const answer = await planner.ask({ what: 'help' })
    setSaid(answer.ok ? answer.value.sentences : [answer.what, answer.todo])
  }
  return (
    <>
      <Button tone="quiet" onPress={() => void look()}>
        What would put it right?
      </Button>
      <Sheet title="What would put it right" isOpen={isOpen} onClose={() => setOpen(false)} place="middle">
        <div className="stack" aria-live="polite">
          {said === null ? (
            <p className="quiet">Trying more hands and other forms…</p>
          ) : (
            said.map((words) => <p key={words}>{words}</p>)
          )}
        </div>
      </Sheet>
    </>
  )
}
