import type { ReactNode } from 'react'
import { Dialog, Heading } from 'react-aria-components/Dialog'
import { Modal, ModalOverlay } from 'react-aria-components/Modal'
import { Button } from './button.tsx'
import { KindMark } from './strip.tsx'
import './hard-stop.css'

/** What differs: named, as it was expected and as it was found. */
export type Difference = { readonly what: string; readonly expected: string; readonly found: string }

type HardStopProps = {
  readonly isOpen: boolean
  /** What is wrong, as a sentence: "This is not the patient of the order." */
  readonly title: string
  readonly differences?: readonly Difference[]
  /** What to do now, as sentences. */
  readonly todo: ReactNode
  /** The ways out, the safest first; that one is drawn as the main one and has the focus. */
  readonly actions: readonly { readonly label: string; readonly onPress: () => void }[]
  readonly children?: ReactNode
}

/** Takes the whole screen, and cannot be pressed away: only one of its answers closes it. */
export function HardStop({ isOpen, title, differences = [], todo, actions, children }: HardStopProps) {
  return (
    <ModalOverlay className="hard-stop" isOpen={isOpen} isDismissable={false} isKeyboardDismissDisabled>
      <Modal className="hard-stop-modal">
        <Dialog className="hard-stop-dialog" role="alertdialog">
          <p className="hard-stop-word">
            <KindMark kind="halt" /> Stop
          </p>
          <Heading slot="title" className="voice-title">
            {title}
          </Heading>
          {differences.length > 0 && <Differences differences={differences} />}
          {children}
          <div className="voice hard-stop-todo">{todo}</div>
          <div className="hard-stop-actions">
            {actions.map(({ label, onPress }, index) => (
              <Button
                key={label}
                tone={index === 0 ? 'primary' : 'plain'}
                gloved
                autoFocus={index === 0}
                onPress={onPress}
              >
                {label}
              </Button>
            ))}
          </div>
        </Dialog>
      </Modal>
    </ModalOverlay>
  )
}

function Differences({ differences }: { readonly differences: readonly Difference[] }) {
  return (
    <table className="hard-stop-differences">
      <caption className="unseen">What differs</caption>
      <thead>
        <tr>
          <td />
          <th scope="col">Expected</th>
          <th scope="col">Found</th>
        </tr>
      </thead>
      <tbody>
        {differences.map(({ what, expected, found }) => (
          <tr key={what}>
            <th scope="row">{what}</th>
            <td>{expected}</td>
            <td className="hard-stop-found">{found}</td>
          </tr>
        ))}
      </tbody>
    </table>
  )
}
