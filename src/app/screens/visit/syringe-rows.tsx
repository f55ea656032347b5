import type { DrawnUp } from '../../../chart/bedside/draw-up.ts'
import { asOptions } from '../../parts/as-options.ts'
import { Choice } from '../../parts/choice.tsx'
import { Figure } from '../../parts/figure.tsx'

type SyringeRowsProps = {
  readonly drawn: readonly DrawnUp[]
  readonly onChoose: (text: string, syringe: string) => void
}

/** For every volume that is measured: the syringe, what its marks allow to draw, and what that does to the dose. */
export function SyringeRows({ drawn, onChoose }: SyringeRowsProps) {
  return drawn.map(({ text, syringe, syringes, measured, doseError }) => (
    <section key={text} className="stack" aria-label={`Syringe for ${text}`}>
      <Choice
        label={`Syringe for ${text}`}
        options={asOptions(syringes.map(({ name }) => name))}
        tileRem={7}
        value={syringe.name}
        onChange={(name) => onChoose(text, name)}
      />
      <div className="figures">
        <Figure name="Draw to the mark" worked={measured} digits={4} />
        <Figure name="Dose off by" worked={doseError} digits={2} />
      </div>
    </section>
  ))
}
