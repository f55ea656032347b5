import { useEffect, useSyncExternalStore } from 'react'
import { z } from 'zod'
import { read, write } from '../local/device.ts'

export const THEME_CHOICES = ['day', 'night', 'by the clock'] as const
export type ThemeChoice = (typeof THEME_CHOICES)[number]

const KEY = 'mistwright theme'
/** By the clock: day from 07:00 up to 19:00, the hours at which shifts commonly change. Design rule. */
const [DAY_FROM, NIGHT_FROM] = [7, 19]

/** The theme that a choice means at an hour of the day, 0 to 23. */
export function themeAt(choice: ThemeChoice, hour: number): 'day' | 'night' {
  if (choice !== 'by the clock') return choice
  return hour >= DAY_FROM && hour < NIGHT_FROM ? 'day' : 'night'
}

let choice: ThemeChoice | null = null
const listeners = new Set<() => void>()

export function themeChoice(): ThemeChoice {
  choice ??= read(KEY, z.enum(THEME_CHOICES)) ?? 'by the clock'
  return choice
}

export function chooseTheme(next: ThemeChoice): void {
  choice = next
  write(KEY, next)
  showTheme()
  for (const listener of listeners) listener()
}

/** Puts the theme on the page. Called before the first drawing, so that nothing flashes at night. */
export function showTheme(): void {
  const theme = themeAt(themeChoice(), new Date().getHours())
  document.documentElement.dataset.theme = theme
  const ground = getComputedStyle(document.documentElement).getPropertyValue('--paper')
  document.querySelector('meta[name="theme-color"]')?.setAttribute('content', ground.trim())
}

/** The choice that is in force; the page follows the clock while it is `by the clock`. */
export function useThemeChoice(): ThemeChoice {
  useEffect(() => {
    const timer = setInterval(showTheme, 60_000)
    return () => clearInterval(timer)
  }, [])
  return useSyncExternalStore(subscribe, themeChoice)
}

function subscribe(listener: () => void): () => void {
  listeners.add(listener)
  return () => listeners.delete(listener)
}
