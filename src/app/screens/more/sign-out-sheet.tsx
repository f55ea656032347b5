import { useState } from 'react'
import { useSession } from '../../local/app-world.tsx'
import { useWaiting } from '../../local/hooks.ts'
import { Button } from '../../parts/button.tsx'
import { count } from '../../parts/duration-text.ts'
import { Sheet } from '../../parts/sheet.tsx'

type SignOutSheetProps = { readonly isOpen: boolean; readonly onClose: () => void }

/** Asks before it signs out, and says what becomes of what is on the tablet. */
export function SignOutSheet({ isOpen, onClose }: SignOutSheetProps) {
  const session = useSession()
  const { waiting, refused } = useWaiting()
  const [busy, setBusy] = useState(false)
  const left = waiting + refused.length
  return (
    <Sheet
      title={left === 0 ? 'Sign out of this tablet?' : 'Not everything is sent.'}
      place="middle"
      isOpen={isOpen}
      onClose={onClose}
      foot={
        <>
          <Button gloved onPress={onClose}>
            Stay
          </Button>
          <Button
            tone={left === 0 ? 'primary' : 'halt'}
            gloved
            isPending={busy}
            onPress={() => {
              setBusy(true)
              void session.signOut()
            }}
          >
            {left === 0 ? 'Sign out' : 'Sign out all the same'}
          </Button>
        </>
      }
    >
      <p>
        {left === 0
          ? 'Everything is sent. What this tablet holds for you is removed from it.'
          : `${count(left, 'entry', 'entries')} of yours ${left === 1 ? 'is' : 'are'} only on this tablet. If you sign out now, ${left === 1 ? 'it stays' : 'they stay'} here, unseen by others, until you sign in on this tablet again. Better: stay until the count at the top says all is sent.`}
      </p>
    </Sheet>
  )
}
