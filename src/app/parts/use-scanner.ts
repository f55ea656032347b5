import { useEffect, useRef } from 'react'
import { NO_SCAN, scanStep } from './scan-step.ts'

type Field = HTMLInputElement | HTMLTextAreaElement

/**
 * Takes what a scanner types, wherever the focus is, while `armed`. What had the focus does not see the code: a
 * field that got the first character has its text put back, and the closing Enter presses no button.
 */
export function useScanner(armed: boolean, onScan: (code: string) => void): void {
  const latest = useRef(onScan)
  latest.current = onScan
  useEffect(() => {
    if (!armed) return
    let state = NO_SCAN
    let touched: { readonly field: Field; readonly before: string } | null = null
    const hear = (event: KeyboardEvent) => {
      if (event.isComposing) return
      const fresh = state.text === '' && state.altDigits === ''
      const { key, ctrlKey: ctrl, altKey: alt, timeStamp: atMs } = event
      const outcome = scanStep(state, { key, ctrl, alt, atMs })
      const starts = outcome.state.text.length === 1 && (fresh || outcome.act === 'pass')
      if (starts) touched = fieldOf(event.target)
      state = outcome.state
      if (outcome.act === 'pass') return
      event.preventDefault()
      event.stopImmediatePropagation()
      if (outcome.act !== 'scanned') return
      if (touched) putBack(touched.field, touched.before)
      touched = null
      latest.current(outcome.code ?? '')
    }
    window.addEventListener('keydown', hear, { capture: true })
    return () => window.removeEventListener('keydown', hear, { capture: true })
  }, [armed])
}

function fieldOf(target: EventTarget | null): { field: Field; before: string } | null {
  const isField = target instanceof HTMLInputElement || target instanceof HTMLTextAreaElement
  return isField ? { field: target, before: target.value } : null
}

/** Through the element's own setter and an event, so that whoever controls the field hears of it. */
function putBack(field: Field, before: string): void {
  const own = Object.getOwnPropertyDescriptor(Object.getPrototypeOf(field), 'value')
  own?.set?.call(field, before)
  field.dispatchEvent(new Event('input', { bubbles: true }))
}
