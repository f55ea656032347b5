import { Choice } from '../parts/choice.tsx'
import { chooseTheme, THEME_CHOICES, useThemeChoice } from './theme.ts'

const NOTES = {
  day: 'ink on paper',
  night: 'warm light, dark ground',
  'by the clock': 'night from 19:00 to 07:00',
}

/** Day, night, or by the clock; `brief` leaves out what each of them is like. */
export function ThemeSwitch({ brief = false }: { readonly brief?: boolean }) {
  return (
    <Choice
      label="Light"
      options={THEME_CHOICES.map((value) => ({
        value,
        label: value,
        note: brief ? undefined : NOTES[value],
      }))}
      value={useThemeChoice()}
      onChange={chooseTheme}
      tileRem={brief ? 6.5 : 12}
    />
  )
}
