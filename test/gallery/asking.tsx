import { useState } from 'react'
import { Button } from '../../src/app/parts/button.tsx'
import { Empty } from '../../src/app/parts/empty.tsx'
import { Fold } from '../../src/app/parts/fold.tsx'
import { HardStop } from '../../src/app/parts/hard-stop.tsx'
import { Sheet } from '../../src/app/parts/sheet.tsx'
import { Strip } from '../../src/app/parts/strip.tsx'
import { useHoldUpdates } from '../../src/app/shell/hold-updates.ts'
import { Screen } from '../../src/app/shell/screen.tsx'

/** Everything that says or asks something. */
export function Asking() {
  useHoldUpdates('a visit is open')
  const [stop, setStop] = useState(false)
  const [sheet, setSheet] = useState(false)
  return (
    <Screen title="4 West 7 · Anselm K., 63" about="albuterol 2.5 mg, every 4 h" layout="bare">
      <Fold
        name="Door"
        line="active order, 4 h 10 min since last, nothing against"
        state="done"
        onOpen={() => {}}
      />
      <Fold
        name="Identify"
        line="name and date of birth stated; wristband and vial scanned"
        state="done"
        onOpen={() => {}}
      />
      <Fold
        name="Measure"
        line="heart 84, breaths 22, SpO2 93 % on 2 L/min"
        state="doubt"
        onOpen={() => {}}
      />
      <Fold name="Give" line="" state="open">
        <p className="voice">Slow breath in through the mouth, a short hold, easy out. Sit tall.</p>
        <Strip kind="note">Two visits from here are on time.</Strip>
        <Strip kind="caution" action={<Button>Ask</Button>}>
          Heart rate was 118 before the last treatment.
        </Strip>
        <Strip kind="halt">The order was stopped at 09:40.</Strip>
        <div className="row row-apart">
          <div className="row">
            <Button gloved onPress={() => setSheet(true)}>
              Something is wrong
            </Button>
            <Button gloved>Pause</Button>
          </div>
          <Button tone="primary" gloved onPress={() => setStop(true)}>
            Scan the wrong vial
          </Button>
        </div>
      </Fold>
      <Fold name="After" line="cough, the same measurements, oxygen back to 2 L/min" state="ahead" />
      <Fold name="Chart" line="note and signature" state="ahead" />
      <div className="page">
        <Empty title="Nothing to settle." action={<Button>Bring orders in</Button>}>
          Orders that cannot be acted on yet appear here, with what is missing.
        </Empty>
      </div>
      <Sheet
        title="What is wrong?"
        isOpen={sheet}
        onClose={() => setSheet(false)}
        foot={<Button tone="primary">Keep</Button>}
      >
        <p>Say what you see; the stop rules are asked at once.</p>
      </Sheet>
      <HardStop
        isOpen={stop}
        title="This is not the medicine that was ordered."
        differences={[
          { what: 'Medicine', expected: 'albuterol 2.5 mg in 3 mL', found: 'ipratropium 0.5 mg in 2.5 mL' },
          { what: 'Expiry', expected: 'after 2026-11-25', found: '2026-10-31' },
        ]}
        todo="Put this vial aside. Take another and scan it."
        actions={[
          { label: 'Scan another', onPress: () => setStop(false) },
          { label: 'Do not give', onPress: () => setStop(false) },
        ]}
      />
    </Screen>
  )
}
