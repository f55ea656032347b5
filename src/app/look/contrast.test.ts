import { readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'

/** Custom properties with a plain hexadecimal color, by theme, as they stand in tokens.css. */
function themes(): Record<'day' | 'night', Record<string, string>> {
  const css = readFileSync(new URL('./tokens.css', import.meta.url), 'utf8')
  const [day = '', night = ''] = css.split('@media print')[0]?.split(':root[data-theme="night"]') ?? []
  const colors = (text: string) =>
    Object.fromEntries([...text.matchAll(/--([\w-]+): (#[0-9a-f]{6});/g)].map(([, name, hex]) => [name, hex]))
  return { day: colors(day), night: { ...colors(day), ...colors(night) } }
}

/** Relative luminance of an sRGB color, WCAG 2.2, "relative luminance". */
function luminance(hex: string): number {
  const [r = 0, g = 0, b = 0] = [1, 3, 5].map((at) => {
    const share = Number.parseInt(hex.slice(at, at + 2), 16) / 255
    return share <= 0.04045 ? share / 12.92 : ((share + 0.055) / 1.055) ** 2.4
  })
  return 0.2126 * r + 0.7152 * g + 0.0722 * b
}

/** Contrast ratio, WCAG 2.2, "contrast ratio". */
function contrast(one: string, other: string): number {
  const [light = 0, dark = 0] = [luminance(one), luminance(other)].sort((a, b) => b - a)
  return (light + 0.05) / (dark + 0.05)
}

const GROUNDS = ['paper', 'sheet', 'wash', 'halt-wash', 'heed-wash']
const TEXTS = ['ink', 'ink-2', 'ink-3', 'accent', 'halt', 'heed']

describe('contrast by the definition of WCAG 2.2', () => {
  it('computes the two ends as the definition states them', () => {
    expect(contrast('#000000', '#ffffff')).toBeCloseTo(21, 5)
    expect(contrast('#777777', '#777777')).toBe(1)
  })

  for (const [theme, colors] of Object.entries(themes())) {
    const ratio = (over: string, ground: string) => contrast(colors[over] ?? '', colors[ground] ?? '')

    it(`text on every ground reaches 4.5 by ${theme} (1.4.3)`, () => {
      const pairs = TEXTS.flatMap((text) => GROUNDS.map((ground) => [text, ground] as const))
      expect(pairs).toHaveLength(30)
      expect(pairs.filter(([text, ground]) => !(ratio(text, ground) >= 4.5))).toEqual([])
    })

    it(`words on filled buttons reach 4.5 by ${theme} (1.4.3)`, () => {
      expect(ratio('accent-ink', 'accent')).toBeGreaterThanOrEqual(4.5)
      expect(ratio('accent-ink', 'accent-pressed')).toBeGreaterThanOrEqual(4.5)
      expect(ratio('halt-ink', 'halt')).toBeGreaterThanOrEqual(4.5)
    })

    it(`edges of what can be pressed reach 3 by ${theme} (1.4.11)`, () => {
      expect(GROUNDS.filter((ground) => !(ratio('edge', ground) >= 3))).toEqual([])
    })
  }
})
