import { useMemo } from 'react'
import { settleItems } from '../../chart/folds/settle.ts'
import { useChart, useLaterRevision, useNow } from '../local/hooks.ts'

/** A place in the app that has a way to it of its own. */
export type Section = {
  readonly name: string
  readonly path: string
  /** What one does there, for the list under More. */
  readonly about: string
  /** `bar`: always in sight. `more`: in the rail on wide screens, under More on others. */
  readonly place: 'bar' | 'more'
  /** How many things wait there. */
  readonly useCount?: () => number
}

/** In the order in which they are shown. A section appears once its address exists in `routes.tsx`. */
export const SECTIONS: readonly Section[] = [
  { name: 'Round', path: '/', place: 'bar', about: 'The shift from now to its end.' },
  { name: 'Bench', path: '/bench', place: 'bar', about: 'Set-ups side by side.' },
  {
    name: 'Settle',
    path: '/settle',
    place: 'bar',
    about: 'What cannot be acted on until somebody answers.',
    useCount: useSettleCount,
  },
  { name: 'Handover', path: '/handover', place: 'bar', about: 'What the next shift must know.' },
  { name: 'Floor', path: '/floor', place: 'more', about: 'All therapists and their load, hour by hour.' },
  { name: 'Look back', path: '/look-back', place: 'more', about: 'How the department did, week by week.' },
  { name: 'Teach', path: '/teach', place: 'more', about: 'Check-offs and practice patients.' },
  {
    name: 'Record',
    path: '/record',
    place: 'more',
    about: 'Who did what when, and proof that nothing changed.',
  },
  { name: 'Setup', path: '/setup', place: 'more', about: 'Formulary, equipment, floors, rules, staff.' },
  { name: 'More', path: '/more', place: 'bar', about: 'Sending, light, PIN, sign-out.' },
]

function useSettleCount(): number {
  const chart = useChart()
  const revision = useLaterRevision()
  const now = useNow(60_000)
  // biome-ignore lint/correctness/useExhaustiveDependencies: the chart stays the same object; its revision tells of change
  return useMemo(() => settleItems(chart, now).length, [chart, revision, now])
}
