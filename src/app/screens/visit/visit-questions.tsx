import { useNavigate } from '@tanstack/react-router'
import { useMemo } from 'react'
import { settleItems } from '../../../chart/folds/settle.ts'
import { useNow } from '../../local/hooks.ts'
import { Button } from '../../parts/button.tsx'
import { Strip } from '../../parts/strip.tsx'
import { useDesk } from './desk.ts'

/** What of this visit does not go together with what another device wrote, said where the visit is worked on. */
export function VisitQuestions() {
  const { chart, visit } = useDesk()
  const now = useNow(60_000)
  const navigate = useNavigate()
  const { revision, clocksLearned } = chart
  // biome-ignore lint/correctness/useExhaustiveDependencies: the chart stays the same object; its revision tells of change
  const asked = useMemo(
    () => settleItems(chart, now).filter(({ visitIds }) => visitIds?.includes(visit.visitId)),
    [chart, revision, clocksLearned, now, visit.visitId],
  )
  return asked.map(({ id, title, what }) => (
    <Strip
      key={id}
      kind="halt"
      word={`${title}.`}
      action={<Button onPress={() => navigate({ to: '/settle' })}>Settle</Button>}
    >
      {what}
    </Strip>
  ))
}
