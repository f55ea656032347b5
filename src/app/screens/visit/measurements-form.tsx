import { useState } from 'react'
import { OXYGEN_DEVICES, type OxygenSupport } from '../../../chart/facts/census.ts'
import {
  ABILITIES,
  CONSCIOUSNESS,
  type Measure,
  type Measurements,
  REASONS_NOT_MEASURED,
  RHYTHMS,
  WORK_OF_BREATHING,
} from '../../../chart/facts/measurements.ts'
import type { BodyOf } from '../../../chart/registry.ts'
import { measureDemands, oxygenText } from '../../../chart/stages/measure.ts'
import { asOptions } from '../../parts/as-options.ts'
import { Button } from '../../parts/button.tsx'
import { Choice } from '../../parts/choice.tsx'
import { NumberEntry } from '../../parts/number-entry.tsx'
import { Sheet } from '../../parts/sheet.tsx'
import { Strip } from '../../parts/strip.tsx'
import { type Heard, LungMap } from './lung-map.tsx'
import type { RuleFor } from './number-rules.ts'

export type MeasuredDraft = Omit<BodyOf<'measured'>, 'when'>

type MeasurementsFormProps = {
  readonly when: 'before' | 'after'
  readonly draft: MeasuredDraft
  readonly onChange: (draft: MeasuredDraft) => void
  readonly rules: RuleFor
  /** The set before the treatment, shown beside the new one. */
  readonly before?: Measurements | undefined
}

/** The same measurements before and after: each with its value, or the reason why there is none. */
export function MeasurementsForm({ when, draft, onChange, rules, before }: MeasurementsFormProps) {
  const { values } = draft
  const set = (change: Partial<Measurements>) => onChange({ ...draft, values: { ...values, ...change } })
  const confirm = (
    measure: string,
    value: number,
    question: string | null,
  ): MeasuredDraft['confirmedOdd'] => [
    ...draft.confirmedOdd.filter((odd) => odd.measure !== measure),
    ...(question === null ? [] : [{ measure, value, question }]),
  ]
  const entered = (measure: 'heartRatePerMin' | 'respiratoryRatePerMin' | 'spo2Percent') => ({
    rule: rules(measure),
    value: values[measure] ?? null,
    remarks: before?.[measure] === undefined ? [] : [`before ${before[measure]}`],
    onChange: (value: number | null, question: string | null) => {
      const { [measure]: _, ...others } = values
      onChange({
        ...draft,
        values: value === null ? others : { ...others, [measure]: value },
        confirmedOdd: value === null ? draft.confirmedOdd : confirm(measure, value, question),
      })
    },
  })
  return (
    <div className="stack stack-wide">
      <div className="figures">
        <NumberEntry {...entered('heartRatePerMin')} />
        <NumberEntry {...entered('respiratoryRatePerMin')} />
        <NumberEntry {...entered('spo2Percent')} />
        <OxygenEntry value={values.spo2On} onChange={(spo2On) => set({ spo2On })} rules={rules} />
      </div>
      <Choice
        label="Heart rhythm"
        options={asOptions(RHYTHMS)}
        value={values.rhythm ?? null}
        onChange={(rhythm) => set({ rhythm })}
      />
      <LungMap
        value={values.breathSounds ?? {}}
        onChange={(heard) => set({ breathSounds: heardOrNone(heard) })}
      />
      <Choice
        label="Work of breathing"
        options={asOptions(WORK_OF_BREATHING)}
        value={values.workOfBreathing ?? null}
        onChange={(workOfBreathing) => set({ workOfBreathing })}
      />
      {when === 'before' && (
        <>
          <Choice
            label="Consciousness"
            options={asOptions(CONSCIOUSNESS)}
            value={values.consciousness ?? null}
            onChange={(consciousness) => set({ consciousness })}
          />
          <Choice
            label="Ability to follow"
            tileRem={14}
            options={asOptions(ABILITIES)}
            value={values.ability ?? null}
            onChange={(ability) => set({ ability })}
          />
        </>
      )}
      <PeakFlow draft={draft} onChange={onChange} rules={rules} before={before} />
      <div className="figures">
        <NumberEntry
          rule={rules('dyspnea0To10')}
          value={values.dyspnea0To10 ?? null}
          remarks={
            before?.dyspnea0To10 === undefined ? ['0 none, 10 the worst'] : [`before ${before.dyspnea0To10}`]
          }
          onChange={(value) => onChange({ ...draft, values: without(values, 'dyspnea0To10', value) })}
        />
        <NumberEntry
          rule={rules('systolicMmHg')}
          value={values.systolicMmHg ?? null}
          onChange={(value) => onChange({ ...draft, values: without(values, 'systolicMmHg', value) })}
        />
        <NumberEntry
          rule={rules('temperatureCel')}
          value={values.temperatureCel ?? null}
          onChange={(value) => onChange({ ...draft, values: without(values, 'temperatureCel', value) })}
        />
      </div>
      <NotMeasured when={when} draft={draft} onChange={onChange} />
    </div>
  )
}

function without(
  values: Measurements,
  key: 'dyspnea0To10' | 'systolicMmHg' | 'temperatureCel',
  value: number | null,
): Measurements {
  const { [key]: _, ...others } = values
  return value === null ? others : { ...others, [key]: value }
}

function heardOrNone(heard: Heard): Measurements['breathSounds'] {
  const said = Object.entries(heard).map(([zone, sounds]) => [zone, [...(sounds ?? [])]])
  return said.length === 0 ? undefined : Object.fromEntries(said)
}

type OxygenEntryProps = {
  readonly value: OxygenSupport | undefined
  readonly onChange: (value: OxygenSupport) => void
  readonly rules: RuleFor
}

/** The oxygen that a saturation was taken on: device, and flow or concentration. */
export function OxygenEntry({ value, onChange, rules }: OxygenEntryProps) {
  const [open, setOpen] = useState(false)
  const flows = value !== undefined && value.device !== 'room air'
  return (
    <div className="reading">
      <span className="reading-name">Oxygen</span>
      <Button onPress={() => setOpen(true)}>{value ? oxygenText(value) : 'Enter'}</Button>
      <Sheet
        title="Oxygen now"
        isOpen={open}
        onClose={() => setOpen(false)}
        foot={
          <Button tone="primary" gloved onPress={() => setOpen(false)}>
            Done
          </Button>
        }
      >
        <div className="stack">
          <Choice
            label="By"
            options={asOptions(OXYGEN_DEVICES)}
            value={value?.device ?? null}
            onChange={(device) => onChange({ device })}
          />
          {flows && (
            <div className="figures">
              <NumberEntry
                rule={rules('flowLPerMin')}
                value={value.flowLPerMin ?? null}
                onChange={(flow) => onChange(oxygenWith(value, 'flowLPerMin', flow))}
              />
              <NumberEntry
                rule={rules('fio2Percent')}
                value={value.fio2Percent ?? null}
                onChange={(fio2) => onChange(oxygenWith(value, 'fio2Percent', fio2))}
              />
            </div>
          )}
        </div>
      </Sheet>
    </div>
  )
}

function oxygenWith(
  value: OxygenSupport,
  key: 'flowLPerMin' | 'fio2Percent',
  amount: number | null,
): OxygenSupport {
  const { [key]: _, ...others } = value
  return amount === null ? others : { ...others, [key]: amount }
}

type PartProps = Pick<MeasurementsFormProps, 'draft' | 'onChange' | 'rules' | 'before'>

/** Three blows, each entered as read; the best counts. Or the reason why none was made, which is not a zero. */
function PeakFlow({ draft, onChange, rules, before }: PartProps) {
  const blows = draft.values.peakFlowLPerMin ?? []
  const setBlow = (index: number, value: number | null) => {
    const next =
      value === null ? blows.filter((_, at) => at !== index) : Object.assign([...blows], { [index]: value })
    const { peakFlowLPerMin: _, ...others } = draft.values
    onChange({ ...draft, values: next.length === 0 ? others : { ...others, peakFlowLPerMin: next } })
  }
  const best =
    before?.peakFlowLPerMin === undefined ? [] : [`before, best ${Math.max(...before.peakFlowLPerMin)}`]
  const shown = Math.min(8, Math.max(3, blows.length + (blows.length >= 3 && !repeatable(blows) ? 1 : 0)))
  return (
    <div className="stack">
      <h3>Peak flow, three blows</h3>
      <div className="figures">
        {Array.from({ length: shown }, (_, index) => (
          <NumberEntry
            // biome-ignore lint/suspicious/noArrayIndexKey: the blow's number is what names it
            key={index}
            rule={{ ...rules('peakFlowLPerMin'), name: `Blow ${index + 1}` }}
            value={blows[index] ?? null}
            remarks={index === 0 ? best : []}
            isDisabled={index > blows.length}
            onChange={(value) => setBlow(index, value)}
          />
        ))}
      </div>
      {blows.length >= 3 && (
        <Strip kind={repeatable(blows) ? 'note' : 'caution'}>
          Best {Math.max(...blows)} L/min. The two best differ by {spread(blows)} L/min
          {repeatable(blows) ? ', within 40.' : ': more than 40. Blow again if the patient can (up to 8).'}
        </Strip>
      )}
    </div>
  )
}

/** The two best blows within 40 L/min: from memory of the spirometry standards, as the peak-flow calculation says. */
const REPEATABLE_L_PER_MIN = 40

function spread(blows: readonly number[]): number {
  const [best = 0, second = 0] = [...blows].sort((a, b) => b - a)
  return best - second
}

function repeatable(blows: readonly number[]): boolean {
  return spread(blows) <= REPEATABLE_L_PER_MIN
}

const MEASURE_NAMES: Readonly<Record<Measure, string>> = {
  heartRate: 'heart rate',
  respiratoryRate: 'respiratory rate',
  spo2: 'SpO2',
  breathSounds: 'breath sounds',
  workOfBreathing: 'work of breathing',
  dyspnea: 'dyspnea',
  peakFlow: 'peak flow',
  consciousness: 'consciousness',
  ability: 'ability to follow',
  systolic: 'blood pressure',
  temperature: 'temperature',
}

/** What could not be measured, each with its reason. */
function NotMeasured({ when, draft, onChange }: Pick<MeasurementsFormProps, 'when' | 'draft' | 'onChange'>) {
  const [asked, setAsked] = useState<Measure | null>(null)
  const missing = measureDemands({ when, ...draft }, when).filter(({ met }) => !met)
  const open = missing.map(({ code }) => code.replace(`${when}-`, '') as Measure)
  const optional: Measure[] =
    draft.values.peakFlowLPerMin || draft.notMeasured.some(({ measure }) => measure === 'peakFlow')
      ? []
      : ['peakFlow']
  return (
    <div className="stack stack-close">
      {draft.notMeasured.map(({ measure, why }) => (
        <Strip
          key={measure}
          kind="note"
          word={`No ${MEASURE_NAMES[measure]}:`}
          action={
            <Button
              tone="quiet"
              onPress={() =>
                onChange({
                  ...draft,
                  notMeasured: draft.notMeasured.filter((each) => each.measure !== measure),
                })
              }
            >
              Take back
            </Button>
          }
        >
          {why}
        </Strip>
      ))}
      <div className="row">
        {[...optional, ...open].map((measure) => (
          <Button key={measure} tone="quiet" onPress={() => setAsked(measure)}>
            No {MEASURE_NAMES[measure]}?
          </Button>
        ))}
      </div>
      <Sheet
        title={`Why no ${asked ? MEASURE_NAMES[asked] : ''}?`}
        isOpen={asked !== null}
        onClose={() => setAsked(null)}
        place="middle"
      >
        <Choice
          label="Reason"
          labelUnseen
          tileRem={14}
          options={asOptions(REASONS_NOT_MEASURED)}
          value={null}
          onChange={(why) => {
            if (asked) onChange({ ...draft, notMeasured: [...draft.notMeasured, { measure: asked, why }] })
            setAsked(null)
          }}
        />
      </Sheet>
    </div>
  )
}
