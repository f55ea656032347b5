import { useCallback, useEffect, useState } from 'react'
import { z } from 'zod'
import { TabletList } from '../../../api/schemas.ts'
import { useChart, useGet, usePost } from '../../local/hooks.ts'
import { Button } from '../../parts/button.tsx'
import { count } from '../../parts/duration-text.ts'
import { Sheet } from '../../parts/sheet.tsx'
import { Strip } from '../../parts/strip.tsx'
import { useDayAndTime } from './use-documents-in-force.ts'

type Tablet = TabletList['tablets'][number]

/** The tablets that people work on, what each had not sent when it was last heard of, and giving one up. */
export function Tablets() {
  const { tablets, problem, reload } = useTablets()
  const [open, setOpen] = useState<Tablet | null>(null)
  return (
    <section className="stack" aria-labelledby="tablets-title">
      <h2 id="tablets-title" className="voice-head">
        Tablets
      </h2>
      {problem !== null && (
        <Strip kind="caution" word="Not known now." action={<Button onPress={reload}>Ask again</Button>}>
          {problem}
        </Strip>
      )}
      {tablets.length === 0 && problem === null && <p className="quiet">Nobody has worked on one yet.</p>}
      <ul className="lines">
        {tablets.map((tablet) => (
          <Row key={`${tablet.device} ${tablet.personId}`} tablet={tablet} onOpen={() => setOpen(tablet)} />
        ))}
      </ul>
      <GiveUpSheet tablet={open} onClose={() => setOpen(null)} onDone={reload} />
    </section>
  )
}

function Row({ tablet, onOpen }: { readonly tablet: Tablet; readonly onOpen: () => void }) {
  const chart = useChart()
  const dayAndTime = useDayAndTime()
  const { device, personId, waiting, heardAt, endedAt } = tablet
  const name = chart.person(personId)?.name ?? personId
  return (
    <li className="setup-entry">
      <div>
        <h3 className="strong">
          {name}, {device}
        </h3>
        <p className="quiet">
          heard of {dayAndTime(heardAt)}, {unsentWords(waiting)}
        </p>
        {endedAt !== null && <p className="quiet small">given up {dayAndTime(endedAt)}</p>}
      </div>
      {endedAt === null && (
        <Button onPress={onOpen} aria-label={`Give up ${device} of ${name}`}>
          Give up
        </Button>
      )}
    </li>
  )
}

function unsentWords(waiting: number): string {
  return waiting === 0 ? 'all sent then' : `${count(waiting, 'entry', 'entries')} not sent then`
}

type GiveUpSheetProps = {
  readonly tablet: Tablet | null
  readonly onClose: () => void
  readonly onDone: () => void
}

function GiveUpSheet({ tablet, onClose, onDone }: GiveUpSheetProps) {
  const post = usePost()
  const [problem, setProblem] = useState<string | null>(null)
  const giveUp = async ({ device, personId }: Tablet) => {
    const answer = await post('/api/tablets/end', { device, personId }, z.unknown())
    if (!answer.ok) return setProblem(answer.what)
    onDone()
    onClose()
  }
  return (
    <Sheet
      title="Give up this tablet?"
      place="middle"
      isOpen={tablet !== null}
      onClose={onClose}
      foot={
        <>
          <Button gloved onPress={onClose}>
            Keep it
          </Button>
          <Button tone="halt" gloved onPress={() => tablet && void giveUp(tablet)}>
            Give it up
          </Button>
        </>
      }
    >
      <p>
        Its person is signed out everywhere. As soon as the tablet is in touch with the server it locks and
        drops its key; what it keeps can then be opened only by that person signing in on it again.
      </p>
      {tablet !== null && tablet.waiting > 0 && (
        <Strip kind="caution" word="Not everything is here.">
          When it was last heard of, {unsentWords(tablet.waiting)}. What was written later is not known: ask
          the person.
        </Strip>
      )}
      {problem !== null && (
        <Strip kind="halt" word="Not done." spoken>
          {problem}
        </Strip>
      )}
    </Sheet>
  )
}

function useTablets(): { tablets: readonly Tablet[]; problem: string | null; reload: () => void } {
  const get = useGet()
  const [tablets, setTablets] = useState<readonly Tablet[]>([])
  const [problem, setProblem] = useState<string | null>(null)
  const load = useCallback(async () => {
    const reply = await get('/api/tablets', TabletList)
    setProblem(reply.ok ? null : reply.what)
    if (reply.ok) setTablets(reply.value.tablets)
  }, [get])
  useEffect(() => {
    void load()
  }, [load])
  return { tablets, problem, reload: () => void load() }
}
