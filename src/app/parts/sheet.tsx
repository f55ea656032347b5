import { type ReactNode, useDeferredValue } from 'react'
import { Dialog, Heading } from 'react-aria-components/Dialog'
import { Modal, ModalOverlay } from 'react-aria-components/Modal'
import { Button } from './button.tsx'
import { classes } from './classes.ts'
import './sheet.css'

type SheetProps = {
  readonly title: string
  readonly isOpen: boolean
  readonly onClose: () => void
  readonly children: ReactNode
  /** Buttons that stay in sight at the foot. */
  readonly foot?: ReactNode
  /** `beside`: at the end of the screen, what is behind stays readable. `middle`: a short question. */
  readonly place?: 'beside' | 'middle'
  /** An answer is needed: neither Escape nor a press outside closes it, and there is no close button. */
  readonly mustAnswer?: boolean
}

/** A sheet laid over the screen: beside it where there is room, from below on a phone. Escape closes it. */
export function Sheet({
  title,
  isOpen,
  onClose,
  children,
  foot,
  place = 'beside',
  mustAnswer = false,
}: SheetProps) {
  // A long sheet is drawn a little at a time, after the press was answered. A short question stands there at once: keys may
  // follow the press that asked it.
  const atOnce = mustAnswer || place === 'middle'
  const isDrawn = useDeferredValue(isOpen)
  return (
    <ModalOverlay
      className={classes('veil', `veil-${place}`)}
      isOpen={isOpen && (isDrawn || atOnce)}
      onOpenChange={(open) => !open && onClose()}
      isDismissable={!mustAnswer}
      isKeyboardDismissDisabled={mustAnswer}
    >
      <Modal className={classes('sheet', `sheet-${place}`)}>
        <Dialog className="sheet-dialog" role={mustAnswer ? 'alertdialog' : 'dialog'}>
          <div className="sheet-head">
            <Heading slot="title" className="voice-head">
              {title}
            </Heading>
            {!mustAnswer && (
              <Button tone="quiet" onPress={onClose}>
                Close
              </Button>
            )}
          </div>
          <div className="sheet-body">{children}</div>
          {foot && <div className="sheet-foot">{foot}</div>}
        </Dialog>
      </Modal>
    </ModalOverlay>
  )
}
