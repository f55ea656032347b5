import { useState } from 'react'
import { Button } from '../../parts/button.tsx'

/** Copies the link to the bench as it stands; says whether that worked, and shows the link where it did not. */
export function LinkButton({ address }: { readonly address: () => string }) {
  const [outcome, setOutcome] = useState<'copied' | { readonly byHand: string } | null>(null)
  const copy = async () => {
    const link = address()
    try {
      await navigator.clipboard.writeText(link)
      setOutcome('copied')
    } catch {
      setOutcome({ byHand: link })
    }
  }
  return (
    <>
      <Button gloved onPress={copy}>
        Copy the link
      </Button>
      <span className="quiet bench-link" role="status">
        {outcome === 'copied' && 'Copied: it gives back this bench, with no patient in it.'}
        {outcome !== null && outcome !== 'copied' && (
          <>This device does not let it be copied. Mark it and copy it by hand: {outcome.byHand}</>
        )}
      </span>
    </>
  )
}
