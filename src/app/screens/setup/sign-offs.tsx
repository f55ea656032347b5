import { useState } from 'react'
import { UNITS } from '../../../chart/documents/units.ts'
import { useChart, useDocument } from '../../local/hooks.ts'
import { Button } from '../../parts/button.tsx'
import { MultiChoice } from '../../parts/multi-choice.tsx'
import { TextEntry } from '../../parts/text-entry.tsx'

type SignOffsProps = {
  readonly value: readonly string[]
  readonly onChange: (value: readonly string[]) => void
}

/** What somebody may do alone: what the units ask for, what others are signed off for, and anything else. */
export function SignOffs({ value, onChange }: SignOffsProps) {
  const chart = useChart()
  const { units } = useDocument(UNITS)
  const [other, setOther] = useState('')
  const known = new Set([
    ...units.flatMap(({ skillsNeeded }) => skillsNeeded),
    ...chart.staff().flatMap(({ signedOffFor }) => signedOffFor),
    ...value,
  ])
  const add = () => {
    onChange([...new Set([...value, other.trim()])])
    setOther('')
  }
  return (
    <>
      <MultiChoice
        label="Signed off for"
        options={[...known].sort().map((skill) => ({ value: skill, label: skill }))}
        value={value}
        onChange={onChange}
        hint={known.size === 0 ? 'No unit asks for a sign-off yet.' : undefined}
      />
      <div className="setup-add">
        <TextEntry label="Something else" maxLength={80} value={other} onChange={setOther} />
        <Button isDisabled={other.trim() === ''} onPress={add}>
          Add
        </Button>
      </div>
    </>
  )
}
