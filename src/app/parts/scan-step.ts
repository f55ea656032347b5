/**
 * Tells a scanner that types like a keyboard from a person who types: its characters come in a fast burst that
 * ends with Enter or Tab. Pure: keys and their times in, state and what to do out.
 */
export type ScanKey = {
  readonly key: string
  readonly ctrl: boolean
  readonly alt: boolean
  /** When the key went down [ms]. */
  readonly atMs: number
}

export type ScanState = {
  readonly text: string
  readonly lastMs: number
  /** Digits typed while Alt was held: how some scanners send a control character on Windows. */
  readonly altDigits: string
}

export type ScanOutcome = {
  readonly state: ScanState
  /** `hold` keeps the key from whatever has the focus; `pass` lets it through; `scanned` is a whole code. */
  readonly act: 'pass' | 'hold' | 'scanned'
  readonly code?: string
}

export const NO_SCAN: ScanState = { text: '', lastMs: Number.NEGATIVE_INFINITY, altDigits: '' }

/**
 * Longest pause inside a burst [ms]. Common practice, no source: wedge scanners send a character every 1 to 30 ms,
 * fast typists need about 100 ms a key.
 */
export const BURST_GAP_MS = 50
/** A burst shorter than this is somebody's fingers. Design rule. */
export const SHORTEST_CODE = 4
/** Group separator, which parts the fields of a GS1 code. */
export const GS = '\u001d'

/** What one key means after those before it. */
export function scanStep(before: ScanState, key: ScanKey): ScanOutcome {
  const running = key.atMs - before.lastMs <= BURST_GAP_MS
  const state = running ? before : NO_SCAN
  if (key.alt && /^\d$/.test(key.key)) {
    return { state: { ...state, altDigits: state.altDigits + key.key, lastMs: key.atMs }, act: held(state) }
  }
  const settled = withAltDigits(state)
  const char = charOf(key)
  if (char !== null) {
    return { state: { ...settled, text: settled.text + char, lastMs: key.atMs }, act: held(settled) }
  }
  if (key.key !== 'Enter' && key.key !== 'Tab') {
    // Shift, Control and Alt come between the characters of a burst and mean nothing by themselves.
    if (isModifier(key.key))
      return { state: { ...state, lastMs: running ? key.atMs : state.lastMs }, act: 'pass' }
    return { state: NO_SCAN, act: 'pass' }
  }
  if (settled.text.length >= SHORTEST_CODE) return { state: NO_SCAN, act: 'scanned', code: settled.text }
  return { state: NO_SCAN, act: 'pass' }
}

/** The first character of a burst cannot be told from a keystroke; from the second on it is held. */
function held(state: ScanState): 'pass' | 'hold' {
  return state.text.length > 0 || state.altDigits.length > 0 ? 'hold' : 'pass'
}

/** A printable character, or the group separator in the spellings that scanners use for it. */
function charOf({ key, ctrl, alt }: ScanKey): string | null {
  if (ctrl) return key === ']' ? GS : null
  if (alt) return null
  return [...key].length === 1 ? key : null
}

function withAltDigits(state: ScanState): ScanState {
  if (state.altDigits === '') return state
  return { ...state, text: state.text + String.fromCharCode(Number(state.altDigits) % 256), altDigits: '' }
}

function isModifier(key: string): boolean {
  return key === 'Shift' || key === 'Control' || key === 'Alt' || key === 'AltGraph'
}
