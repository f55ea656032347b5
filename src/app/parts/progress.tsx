import { Label } from 'react-aria-components/Label'
import { ProgressBar } from 'react-aria-components/ProgressBar'
import { Button } from './button.tsx'
import './progress.css'

type ProgressProps = {
  readonly label: string
  /** How much is done, 0 to 1; null while that cannot be said. */
  readonly done: number | null
  /** "412 of 2000 entries". */
  readonly words?: string
  readonly onStop?: () => void
}

/** Long work: how far it has come, and a way to stop it. */
export function Progress({ label, done, words, onStop }: ProgressProps) {
  return (
    <div className="progress">
      <ProgressBar
        className="progress-bar"
        isIndeterminate={done === null}
        value={(done ?? 0) * 100}
        {...(words && { valueLabel: words })}
      >
        <div className="row row-apart">
          <Label>{label}</Label>
          {words && <span className="quiet">{words}</span>}
        </div>
        <div className="progress-way">
          <div className="progress-done" style={{ inlineSize: `${(done ?? 0.3) * 100}%` }} />
        </div>
      </ProgressBar>
      {onStop && <Button onPress={onStop}>Stop</Button>}
    </div>
  )
}
