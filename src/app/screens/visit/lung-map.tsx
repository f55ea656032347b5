import { useState } from 'react'
import { Button as AriaButton } from 'react-aria-components/Button'
import {
  BREATH_SOUNDS,
  type BreathSound,
  LUNG_ZONES,
  type LungZone,
} from '../../../chart/facts/measurements.ts'
import { asOptions } from '../../parts/as-options.ts'
import { Button } from '../../parts/button.tsx'
import { classes } from '../../parts/classes.ts'
import { MultiChoice } from '../../parts/multi-choice.tsx'
import { Sheet } from '../../parts/sheet.tsx'
import './lung-map.css'

export type Heard = Partial<Record<LungZone, readonly BreathSound[]>>

type LungMapProps = { readonly value: Heard; readonly onChange: (heard: Heard) => void }

const SOUND_OPTIONS = asOptions(BREATH_SOUNDS)

/**
 * Breath sounds on a drawing of the lungs, seen as one stands before the patient: the right lung at the left. A zone
 * is pressed and what was heard there is chosen; "clear all over" says it of every zone at once.
 */
export function LungMap({ value, onChange }: LungMapProps) {
  const [zone, setZone] = useState<LungZone | null>(null)
  const heardAt = (at: LungZone) => value[at] ?? []
  return (
    <div className="lung-map">
      <div className="row row-apart">
        <h3>Breath sounds</h3>
        <Button onPress={() => onChange(Object.fromEntries(LUNG_ZONES.map((each) => [each, ['clear']])))}>
          Clear all over
        </Button>
      </div>
      <fieldset className="lung-map-zones">
        <legend className="unseen">Breath sounds by zone</legend>
        <Outline />
        {LUNG_ZONES.map((each) => (
          <AriaButton
            key={each}
            className={classes('lung-zone', heardAt(each).length > 0 && 'lung-zone-heard')}
            onPress={() => setZone(each)}
          >
            <span className="lung-zone-name">{each}</span>{' '}
            <span className="lung-zone-sounds">{heardAt(each).join(', ') || 'press to say'}</span>
          </AriaButton>
        ))}
      </fieldset>
      <Sheet
        title={`Breath sounds, ${zone ?? ''}`}
        isOpen={zone !== null}
        onClose={() => setZone(null)}
        foot={
          <Button tone="primary" gloved onPress={() => setZone(null)}>
            Done
          </Button>
        }
      >
        <MultiChoice
          label="What was heard"
          labelUnseen
          options={SOUND_OPTIONS}
          value={zone ? heardAt(zone) : []}
          onChange={(sounds) => zone && onChange(withZone(value, zone, sounds))}
        />
      </Sheet>
    </div>
  )
}

/** A zone's new sounds: "clear" and a finding exclude each other, the last one said stands. */
function withZone(heard: Heard, zone: LungZone, sounds: readonly BreathSound[]): Heard {
  const before = heard[zone] ?? []
  const added = sounds.find((sound) => !before.includes(sound))
  const kept =
    added === 'clear'
      ? sounds.filter((sound) => sound === 'clear')
      : sounds.filter((sound) => sound !== 'clear' || added === undefined)
  const { [zone]: _, ...others } = heard
  return kept.length === 0 ? others : { ...others, [zone]: kept }
}

/** Two lungs and a windpipe, in outline. Decoration: the zones are buttons with their own names. */
function Outline() {
  return (
    <svg className="lung-map-outline" viewBox="0 0 300 320" aria-hidden="true">
      <path d="M150 8V92M150 92C150 112 132 118 118 124M150 92C150 112 168 118 182 124" />
      <path d="M128 60C96 40 62 78 44 138C26 200 16 262 28 300C36 318 96 302 122 290C136 284 138 270 138 240V92C138 74 134 66 128 60Z" />
      <path d="M172 60C204 40 238 78 256 138C274 200 284 262 272 300C264 318 214 304 188 290C172 280 178 262 170 244C162 226 162 214 162 200V92C162 74 166 66 172 60Z" />
    </svg>
  )
}
