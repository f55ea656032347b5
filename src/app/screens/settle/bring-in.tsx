import { useState } from 'react'
import { FileTrigger } from 'react-aria-components/FileTrigger'
import { MessageAnswers } from '../../../api/schemas.ts'
import { usePost } from '../../local/hooks.ts'
import { Button } from '../../parts/button.tsx'
import { Choice } from '../../parts/choice.tsx'
import { Sheet } from '../../parts/sheet.tsx'
import { Strip } from '../../parts/strip.tsx'
import { TextEntry } from '../../parts/text-entry.tsx'
import { HandOrderSheet } from './hand-order-sheet.tsx'

type Answer = MessageAnswers['answers'][number]
type Channel = 'hl7v2' | 'csv'
const CHANNELS: readonly { value: Channel; label: string; note: string }[] = [
  { value: 'hl7v2', label: 'HL7 v2 messages', note: 'one or several' },
  { value: 'csv', label: 'Order list', note: 'CSV with our header' },
]

/** Other doors for orders: a file or text of messages, an order list, or by hand. Each goes the way of a live feed. */
export function BringIn() {
  const [open, setOpen] = useState<'messages' | 'hand' | null>(null)
  return (
    <section className="stack">
      <h2 className="voice-head">Bring orders in</h2>
      <div className="row">
        <Button gloved onPress={() => setOpen('messages')}>
          From a file or text
        </Button>
        <Button gloved onPress={() => setOpen('hand')}>
          By hand
        </Button>
      </div>
      <MessagesSheet isOpen={open === 'messages'} onClose={() => setOpen(null)} />
      <HandOrderSheet isOpen={open === 'hand'} onClose={() => setOpen(null)} />
    </section>
  )
}

function MessagesSheet({ isOpen, onClose }: { readonly isOpen: boolean; readonly onClose: () => void }) {
  const post = usePost()
  const [channel, setChannel] = useState<Channel>('hl7v2')
  const [text, setText] = useState('')
  const [fileName, setFileName] = useState<string | null>(null)
  const [answers, setAnswers] = useState<readonly Answer[] | null>(null)
  const [problem, setProblem] = useState<string | null>(null)
  const [busy, setBusy] = useState(false)
  const send = async () => {
    setBusy(true)
    setProblem(null)
    const reply = await post(
      '/api/messages',
      { channel, text, ...(fileName && { fileName }) },
      MessageAnswers,
    )
    setBusy(false)
    if (reply.ok) {
      setAnswers(reply.value.answers)
      setText('')
      setFileName(null)
    } else setProblem(reply.what)
  }
  return (
    <Sheet
      title="Orders from a file or text"
      isOpen={isOpen}
      onClose={onClose}
      foot={
        <Button tone="primary" gloved isDisabled={text.trim() === ''} isPending={busy} onPress={send}>
          Bring in
        </Button>
      }
    >
      <div className="stack">
        <Choice label="What it is" options={CHANNELS} value={channel} onChange={setChannel} />
        <FileTrigger
          acceptedFileTypes={['.hl7', '.txt', '.csv', 'text/plain', 'text/csv']}
          onSelect={async (files) => {
            const file = files?.[0]
            if (!file) return
            setFileName(file.name)
            setText(await file.text())
          }}
        >
          <Button>{fileName ? `Chosen: ${fileName}` : 'Choose a file'}</Button>
        </FileTrigger>
        <TextEntry label="Or paste it" lines={8} value={text} onChange={setText} />
        {problem !== null && (
          <Strip kind="halt" word="Not brought in." spoken>
            {problem}
          </Strip>
        )}
        {answers?.map((answer, index) => (
          <Strip
            key={answer.key ?? `answer ${index}`}
            kind={answer.code === 'AA' ? 'note' : 'caution'}
            word={`${answer.code ?? 'No answer'}:`}
            spoken
          >
            {answer.replayed ? 'came before; the first answer was given again, nothing was made. ' : ''}
            {answer.type ?? 'unknown type'}, {answer.made.length} fact{answer.made.length === 1 ? '' : 's'}{' '}
            made.
            {answer.problems.map(({ where, what }) => (
              <div key={where + what}>
                {where}: {what}
              </div>
            ))}
          </Strip>
        ))}
      </div>
    </Sheet>
  )
}
