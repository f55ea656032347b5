import { memo } from 'react'
import { significant } from '../../parts/figure-text.ts'
import { useWidth } from '../../parts/use-width.ts'
import { type DosePart, percentText } from './dose-parts.ts'
import type { Results, Shown } from './use-results.ts'

/** About how wide a letter is in the bars [px], on the wide side: a label is drawn inside only where it surely fits. */
const LETTER_PX = 8.4
const ROOM_PX = 18

/** One bar per set-up, as long as the whole dose, cut into where it goes. */
export const WhereItGoes = memo(function WhereItGoes({ results }: { readonly results: Results }) {
  const { patient, shown } = results
  const [frame, width] = useWidth<HTMLDivElement>(640)
  return (
    <section className="stack" aria-labelledby="bench-where">
      <h2 className="voice-title" id="bench-where">
        Where {patient.doseMg} mg goes
      </h2>
      <div className="stack" ref={frame}>
        {shown.map((each) => (
          <Whole key={each.letter} each={each} width={width} />
        ))}
      </div>
      <p className="quiet small">
        Each bar is the whole dose, at the likely figures; the ranges above say how sure they are. Press a
        figure to see how it was worked out.
      </p>
    </section>
  )
})

const Whole = memo(function Whole({ each, width }: { readonly each: Shown; readonly width: number }) {
  const { letter, result } = each
  const parts = result.ok ? result.parts : []
  if (parts.length === 0) {
    return (
      <p className="bench-whole-none">
        <span className="strong">{letter}</span> <span className="quiet">no forecast, so no picture</span>
      </p>
    )
  }
  const spoken = parts.map((part) => `${part.words} ${percentText(part)}, ${significant(part.mg, 2)} mg`)
  return (
    <div className="bench-whole">
      <span className="strong" aria-hidden="true">
        {letter}
      </span>
      <div className="bench-bar" role="img" aria-label={`Set-up ${letter}: ${spoken.join('; ')}.`}>
        <div className="bench-bar-parts">
          {parts.map((part) => (
            <span
              key={part.name}
              className={`bench-part bench-part-${part.name}`}
              style={{ flexGrow: Math.max(part.mg, 0), flexBasis: 0 }}
            >
              {fits(part, parts, width) && label(part)}
            </span>
          ))}
        </div>
        <p className="bench-bar-rest">
          {parts
            .filter((part) => !fits(part, parts, width))
            .map((part) => (
              <span key={part.name} className={part.name === 'lung' ? 'bench-rest-lung' : undefined}>
                <span className={`bench-key bench-part-${part.name}`} />
                {label(part)}
              </span>
            ))}
        </p>
      </div>
    </div>
  )
})

function label(part: DosePart): string {
  return `${part.words} ${percentText(part)}`
}

function fits(part: DosePart, parts: readonly DosePart[], width: number): boolean {
  const whole = parts.reduce((sum, { mg }) => sum + mg, 0)
  return (width * part.mg) / whole > label(part).length * LETTER_PX + ROOM_PX
}
