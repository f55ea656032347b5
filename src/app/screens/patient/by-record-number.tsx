import { useState } from 'react'
import { idOfNumber } from '../../../chart/ids.ts'
import { useBring, useChart, useMe } from '../../local/hooks.ts'
import { Button } from '../../parts/button.tsx'
import { TextEntry } from '../../parts/text-entry.tsx'

/** Fetches the record of somebody whom the shift does not concern, by the hospital's number for them. */
export function ByRecordNumber({ onFound }: { readonly onFound: (patientId: string) => void }) {
  const { facility } = useMe()
  const chart = useChart()
  const bring = useBring()
  const [number, setNumber] = useState('')
  const [busy, setBusy] = useState(false)
  const [problem, setProblem] = useState<string | undefined>(undefined)
  const wanted = number.trim()
  const find = async () => {
    const patientId = idOfNumber('patient', facility, wanted)
    if (chart.patient(patientId).mrn === null) {
      setBusy(true)
      const answer = await bring(patientId)
      setBusy(false)
      if (!answer.ok) return setProblem(`${answer.what} ${answer.todo}`)
    }
    if (chart.patient(patientId).mrn === null)
      return setProblem(`The census knows nobody with the number ${wanted}. Check it against the wristband.`)
    setProblem(undefined)
    setNumber('')
    onFound(patientId)
  }
  return (
    <form
      className="stack stack-close"
      onSubmit={(event) => {
        event.preventDefault()
        void find()
      }}
    >
      <TextEntry
        label="Record number of somebody not on this tablet"
        hint="The whole record is fetched and stays here for 12 hours. That you looked is noted."
        value={number}
        onChange={(value) => {
          setNumber(value)
          setProblem(undefined)
        }}
        problem={problem}
      />
      <div className="row">
        <Button type="submit" isDisabled={wanted === ''} isPending={busy}>
          Fetch the record
        </Button>
      </div>
    </form>
  )
}
