import { useState } from 'react'
import type { OxygenSupport } from '../../../chart/facts/census.ts'
import { CUP_CARE } from '../../../chart/facts/visit.ts'
import type { BodyOf } from '../../../chart/registry.ts'
import { lastMeasured, oxygenText } from '../../../chart/stages/measure.ts'
import { asOptions } from '../../parts/as-options.ts'
import { Button } from '../../parts/button.tsx'
import { Choice } from '../../parts/choice.tsx'
import { NumberEntry } from '../../parts/number-entry.tsx'
import { Strip } from '../../parts/strip.tsx'
import { TextEntry } from '../../parts/text-entry.tsx'
import type { Bedside } from './bedside.ts'
import { BeforeAfter } from './before-after.tsx'
import { useDesk } from './desk.ts'
import { type MeasuredDraft, OxygenEntry } from './measurements-form.tsx'
import { Measuring } from './measuring.tsx'
import type { RuleFor } from './number-rules.ts'
import { RunAsCharted } from './run-as-charted.tsx'

type AfterStageProps = {
  readonly bedside: Bedside
  readonly rules: RuleFor
  readonly cupDueAt: string | null
}

/** Measured again first; then what came up, oxygen back as it was, the cup cared for. */
export function AfterStage({ bedside, rules, cupDueAt }: AfterStageProps) {
  const { visit } = useDesk()
  const measured = lastMeasured(visit, 'after')
  return measured === null ? (
    <MeasureAgain rules={rules} />
  ) : (
    <PutBack bedside={bedside} rules={rules} cupDueAt={cupDueAt} />
  )
}

function MeasureAgain({ rules }: { readonly rules: RuleFor }) {
  const { visit } = useDesk()
  const before = lastMeasured(visit, 'before')
  const usual = before?.values.spo2On
  const [draft, setDraft] = useState<MeasuredDraft>({
    values: {
      ...(usual && { spo2On: usual }),
      ...(before?.values.rhythm && { rhythm: before.values.rhythm }),
    },
    // What could not be measured a few minutes ago is not asked for again; it can be taken back.
    notMeasured: before?.notMeasured ?? [],
    confirmedOdd: [],
  })
  return <Measuring when="after" draft={draft} onChange={setDraft} rules={rules} before={before?.values} />
}

const COUGHS = ['none', 'dry', 'moist', 'productive'] as const
type Sputum = NonNullable<BodyOf<'after-done'>['sputum']>
const AMOUNTS: readonly Sputum['amount'][] = ['scant', 'small', 'moderate', 'large']
const COLORS: readonly Sputum['color'][] = [
  'clear',
  'white',
  'yellow',
  'green',
  'brown',
  'blood-streaked',
  'bloody',
]
const THICKNESSES: readonly Sputum['thickness'][] = ['thin', 'thick', 'tenacious', 'frothy']
const same = (a: OxygenSupport | null, b: OxygenSupport | null) => oxygenText(a) === oxygenText(b)

function PutBack({ bedside, rules, cupDueAt }: AfterStageProps) {
  const { visit, patient, act } = useDesk()
  const asFound = lastMeasured(visit, 'before')?.values.spo2On ?? patient.oxygen
  const measuredAfter = lastMeasured(visit, 'after')?.values
  const [cough, setCough] = useState<BodyOf<'after-done'>['cough'] | null>(null)
  const [sputum, setSputum] = useState<Partial<Sputum>>({})
  const [oxygen, setOxygen] = useState<OxygenSupport | null>(asFound)
  const [why, setWhy] = useState('')
  const [spo2, setSpo2] = useState<number | null>(
    same(measuredAfter?.spo2On ?? null, asFound) ? (measuredAfter?.spo2Percent ?? null) : null,
  )
  const [restored, setRestored] = useState(false)
  const [bedAndBell, setBedAndBell] = useState(false)
  const [cupCare, setCupCare] = useState<BodyOf<'after-done'>['cupCare'] | null>(null)
  const changed = !same(oxygen, asFound)
  const productive = cough === 'productive'
  const wholeSputum = sputum.amount && sputum.color && sputum.thickness ? (sputum as Sputum) : null
  const left = [
    ...(cough === null ? ['cough'] : []),
    ...(productive && !wholeSputum ? ['what came up'] : []),
    ...(!restored || oxygen === null ? ['oxygen back'] : []),
    ...(spo2 === null ? ['SpO2 on it'] : []),
    ...(changed && why.trim() === '' ? ['why the oxygen is different'] : []),
    ...(bedAndBell ? [] : ['bed and call bell']),
    ...(cupCare === null ? ['the nebulizer'] : []),
  ]
  const done = () => {
    if (cough === null || cupCare === null || spo2 === null || oxygen === null) return
    act('after-done', {
      cough,
      sputum: productive ? wholeSputum : null,
      oxygenBack: oxygen,
      oxygenChangedWhy: changed ? why.trim() : '',
      spo2OnItPercent: spo2,
      bedAndBell,
      cupCare,
      cupDueAt,
      tookOff: [...bedside.door.precautions.takeOff],
    })
  }
  return (
    <div className="stack stack-wide">
      <BeforeAfter changes={bedside.changes()} />
      <RunAsCharted bedside={bedside} />
      <Choice label="Cough" options={asOptions(COUGHS)} value={cough} onChange={setCough} />
      {productive && (
        <>
          <Choice
            label="How much came up"
            options={asOptions(AMOUNTS)}
            value={sputum.amount ?? null}
            onChange={(amount) => setSputum({ ...sputum, amount })}
          />
          <Choice
            label="Its color"
            options={asOptions(COLORS)}
            value={sputum.color ?? null}
            onChange={(color) => setSputum({ ...sputum, color })}
          />
          <Choice
            label="Its thickness"
            options={asOptions(THICKNESSES)}
            value={sputum.thickness ?? null}
            onChange={(thickness) => setSputum({ ...sputum, thickness })}
          />
        </>
      )}
      <section className="stack">
        <h3>Oxygen back as it was: {oxygenText(asFound)}</h3>
        <div className="figures">
          <OxygenEntry value={oxygen ?? undefined} onChange={setOxygen} rules={rules} />
          <NumberEntry
            rule={{ ...rules('spo2Percent'), name: 'SpO2 on it' }}
            value={spo2}
            onChange={(value) => setSpo2(value)}
          />
        </div>
        {changed && <TextEntry label="Why it is different from before" value={why} onChange={setWhy} />}
        <Button
          gloved
          {...(restored && { 'aria-pressed': true })}
          tone={restored ? 'plain' : 'primary'}
          onPress={() => setRestored(true)}
        >
          {restored ? 'Oxygen is back ✓' : 'Oxygen is back'}
        </Button>
      </section>
      <Choice
        label="Nebulizer"
        tileRem={14}
        options={asOptions(CUP_CARE)}
        value={cupCare}
        onChange={setCupCare}
      />
      {bedside.door.precautions.takeOff.length > 0 && (
        <Strip kind="note" word="Take off in this order:">
          {bedside.door.precautions.takeOff.join(', ')}
        </Strip>
      )}
      <Button gloved {...(bedAndBell && { 'aria-pressed': true })} onPress={() => setBedAndBell(!bedAndBell)}>
        {bedAndBell ? 'Bed safe, call bell in reach ✓' : 'Bed safe, call bell in reach'}
      </Button>
      <div className="row row-apart">
        <p className="quiet">{left.length > 0 && `Still to do: ${left.join(', ')}`}</p>
        <Button tone="primary" gloved isDisabled={left.length > 0} onPress={done}>
          On to the note
        </Button>
      </div>
    </div>
  )
}
