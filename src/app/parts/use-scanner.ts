import { useEffect, useRef } from 'react'
import { NO_SCAN, scanStep } from './scan-step.ts'

type Field = HTMLInputElement | HTMLTextAreaElement
type Touched = { readonly field: Field; readonly before: string }

/**
 * Takes what a scanner types, wherever the focus is, while `armed`. A field that has the focus gets its text back
 * as it was before the code; a button that has it is not pressed by the closing Enter or by a blank in the code.
 * Keys that turn out to be somebody's fingers are never taken away from a field.
 */
export function useScanner(armed: boolean, onScan: (code: string) => void): void {
  const latest = useRef(onScan)
  latest.current = onScan
  useEffect(() => {
    if (!armed) return
    let state = NO_SCAN
    let touched: Touched | null = null
    const hear = (event: KeyboardEvent) => {
      if (event.isComposing) return
      const { key, ctrlKey: ctrl, altKey: alt, timeStamp: atMs } = event
      const outcome = scanStep(state, { key, ctrl, alt, atMs })
      if (outcome.state.text.length === 1) touched = fieldOf(event.target)
      state = outcome.state
      if (outcome.act === 'pass' || (outcome.act === 'hold' && fieldOf(event.target))) return
      event.preventDefault()
      event.stopImmediatePropagation()
      if (outcome.act !== 'scanned') return
      if (touched) putBack(touched)
      touched = null
      latest.current(outcome.code ?? '')
    }
    window.addEventListener('keydown', hear, { capture: true })
    return () => window.removeEventListener('keydown', hear, { capture: true })
  }, [armed])
}

function fieldOf(target: EventTarget | null): Touched | null {
  const isField = target instanceof HTMLInputElement || target instanceof HTMLTextAreaElement
  return isField ? { field: target, before: target.value } : null
}

/** Through the element's own setter and an event, so that whoever controls the field hears of it. */
function putBack({ field, before }: Touched): void {
  const own = Object.getOwnPropertyDescriptor(Object.getPrototypeOf(field), 'value')
  own?.set?.call(field, before)
  field.dispatchEvent(new Event('input', { bubbles: true }))
}
