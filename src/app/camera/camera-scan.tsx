import { useEffect, useState } from 'react'
import { useSessionState } from '../local/app-world.tsx'
import { Button } from '../parts/button.tsx'
import { Sheet } from '../parts/sheet.tsx'
import { Strip } from '../parts/strip.tsx'
import { useCamera } from './use-camera.ts'
import './camera-scan.css'

type CameraScanProps = {
  /** What is to be held before the camera: "the wristband". */
  readonly of: string
  /** Gets the code as a scanner that types would send it. */
  readonly onScan: (code: string) => void
}

/** The button that opens the camera, and the sheet that shows what it sees until a code is read. */
export function CameraScan({ of, onScan }: CameraScanProps) {
  const [isOpen, setOpen] = useState(false)
  const session = useSessionState()
  const locked = session.kind === 'in' && session.locked
  // Behind the lock, and while the app is out of sight, nothing is looked at.
  useEffect(() => {
    if (locked) setOpen(false)
    const hide = () => document.visibilityState === 'hidden' && setOpen(false)
    document.addEventListener('visibilitychange', hide)
    return () => document.removeEventListener('visibilitychange', hide)
  }, [locked])
  const take = (code: string) => {
    setOpen(false)
    onScan(code)
  }
  return (
    <>
      <Button gloved onPress={() => setOpen(true)}>
        Scan with the camera
      </Button>
      <Sheet title={`Scan ${of}`} place="middle" isOpen={isOpen} onClose={() => setOpen(false)}>
        {isOpen && <Look of={of} onCode={take} />}
      </Sheet>
    </>
  )
}

function Look({ of, onCode }: { readonly of: string; readonly onCode: (code: string) => void }) {
  const { video, state, trouble } = useCamera(onCode)
  if (trouble !== null) {
    return (
      <Strip kind="caution" word={trouble.what} spoken>
        {trouble.todo}
      </Strip>
    )
  }
  return (
    <div className="stack">
      <video
        ref={video}
        className="camera-view"
        muted
        playsInline
        aria-label={`What the camera sees of ${of}`}
      />
      <p className="voice" role="status">
        {state === 'starting' && 'The camera is starting …'}
        {state === 'looking' && `Hold ${of} still before the camera, the code whole in sight.`}
        {state === 'several' && 'More than one code is in sight. Cover the others; none is chosen.'}
      </p>
    </div>
  )
}
