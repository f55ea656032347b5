import { Label } from 'react-aria-components/Label'
import { Slider, SliderOutput, SliderThumb, SliderTrack } from 'react-aria-components/Slider'
import { withUnit } from './number-rule.ts'
import './dial.css'

type DialProps = {
  readonly label: string
  readonly unit: string
  readonly value: number
  readonly onChange: (value: number) => void
  readonly low: number
  readonly high: number
  readonly step: number
  /** Where ticks are drawn; every end and middle when left out. */
  readonly ticks?: readonly number[]
}

/** A line to slide a value along, with the value in figures. Arrow keys move it by a step. */
export function Dial({ label, unit, value, onChange, low, high, step, ticks }: DialProps) {
  const marks = ticks ?? [low, (low + high) / 2, high]
  return (
    <Slider className="dial" value={value} onChange={onChange} minValue={low} maxValue={high} step={step}>
      <Label>{label}</Label>
      <SliderOutput className="dial-value">{withUnit(String(value), unit)}</SliderOutput>
      <SliderTrack className="dial-track">
        {marks.map((mark) => (
          <span
            key={mark}
            className="dial-tick"
            style={{ insetInlineStart: `${((mark - low) / (high - low)) * 100}%` }}
          />
        ))}
        <SliderThumb className="dial-thumb" />
      </SliderTrack>
    </Slider>
  )
}
