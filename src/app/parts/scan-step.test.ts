import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { BURST_GAP_MS, GS, NO_SCAN, type ScanKey, type ScanOutcome, scanStep } from './scan-step.ts'

type Pressed = string | Partial<ScanKey>

/** Feeds keys a fixed time apart and gives every outcome. */
function feed(keys: readonly Pressed[], gapMs = 8): ScanOutcome[] {
  let state = NO_SCAN
  return keys.map((pressed, index) => {
    const named = typeof pressed === 'string' ? { key: pressed } : pressed
    const outcome = scanStep(state, {
      key: '',
      ctrl: false,
      alt: false,
      atMs: 1000 + index * gapMs,
      ...named,
    })
    state = outcome.state
    return outcome
  })
}

const last = (outcomes: ScanOutcome[]) => outcomes.at(-1)

describe('a scanner that types', () => {
  it('is told by its speed, and its text is handed over at Enter or Tab', () => {
    expect(last(feed([...'01034531200000', 'Enter']))).toMatchObject({
      act: 'scanned',
      code: '01034531200000',
    })
    expect(last(feed([...'WB1234', 'Tab']))).toMatchObject({ act: 'scanned', code: 'WB1234' })
  })

  it('keeps the group separator in each spelling', () => {
    const ways: Pressed[][] = [
      [{ key: 'Control' }, { key: ']', ctrl: true }],
      [GS],
      [
        { key: 'Alt', alt: true },
        { key: '0', alt: true },
        { key: '2', alt: true },
        { key: '9', alt: true },
      ],
    ]
    const codes = ways.map((way) => last(feed(['1', '0', 'A', ...way, '2', '1', 'Enter']))?.code)
    expect(codes).toEqual(ways.map(() => `10A${GS}21`))
  })

  it('passes over Shift between characters', () => {
    expect(last(feed(['a', 'b', 'Shift', 'C', 'd', 'Enter']))?.code).toBe('abCd')
  })

  it('holds every character but the first from what has the focus', () => {
    expect(feed([...'1234', 'Enter']).map(({ act }) => act)).toEqual([
      'pass',
      'hold',
      'hold',
      'hold',
      'scanned',
    ])
  })

  it('lets a person type, however the letters fall', () => {
    const typed = feed([...'wheeze', 'Enter'], BURST_GAP_MS + 1)
    expect(typed.map(({ act }) => act)).toEqual(Array(7).fill('pass'))
  })

  it('takes nothing from three fast keys and Enter, and nothing that another key broke', () => {
    expect(last(feed(['1', '2', '3', 'Enter']))?.act).toBe('pass')
    expect(last(feed([...'123456', 'Backspace', 'Enter']))?.act).toBe('pass')
  })

  it('hands over any printable code whole', () => {
    fc.assert(
      fc.property(
        fc.string({
          unit: fc.integer({ min: 33, max: 126 }).map((code) => String.fromCharCode(code)),
          minLength: 4,
        }),
        fc.integer({ min: 0, max: BURST_GAP_MS }),
        (code, gapMs) => {
          expect(last(feed([...code, 'Enter'], gapMs))?.code).toBe(code)
        },
      ),
    )
  })
})
