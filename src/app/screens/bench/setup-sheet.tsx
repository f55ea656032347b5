import { ROUTES } from '../../../clinical/aerosol/lung.ts'
import { asOptions } from '../../parts/as-options.ts'
import { Button } from '../../parts/button.tsx'
import { Choice } from '../../parts/choice.tsx'
import { Sheet } from '../../parts/sheet.tsx'
import type { BenchCup } from './bench-result.ts'
import { type BenchSetup, GASES, INTERFACES, MASK_SHAPES, withInterface } from './bench-state.ts'

type SetupSheetProps = {
  readonly letter: string
  readonly setup: BenchSetup
  readonly cups: readonly BenchCup[]
  readonly needsGas: boolean
  readonly isOpen: boolean
  readonly onClose: () => void
  readonly onChange: (change: Partial<BenchSetup>) => void
}

/** Cup, interface, gas and way of breathing of one set-up; every choice counts at once. */
export function SetupSheet({ letter, setup, cups, needsGas, isOpen, onClose, onChange }: SetupSheetProps) {
  return (
    <Sheet
      title={`Set-up ${letter}`}
      isOpen={isOpen}
      onClose={onClose}
      foot={
        <Button tone="primary" gloved onPress={onClose}>
          Back to the bench
        </Button>
      }
    >
      <div className="stack stack-wide">
        <Choice
          label="Interface"
          options={asOptions(INTERFACES)}
          value={setup.interface}
          onChange={(used) => onChange(withInterface(used))}
        />
        {setup.interface === 'mask held off' && (
          <Choice
            label="Which mask"
            options={asOptions(MASK_SHAPES)}
            value={setup.mask}
            onChange={(mask) => onChange({ mask })}
          />
        )}
        <Choice
          label="Breathes by"
          options={asOptions(ROUTES)}
          value={setup.breathesBy}
          onChange={(breathesBy) => onChange({ breathesBy })}
        />
        {needsGas && (
          <Choice
            label="Driving gas"
            hint="Dry, from the wall or a cylinder; the flow is what truly flows."
            options={asOptions(GASES)}
            value={setup.gas}
            onChange={(gas) => onChange({ gas })}
          />
        )}
        <Choice
          label="Cup"
          tileRem={20}
          options={cups.map(({ id, name }) => ({ value: id, label: name }))}
          value={setup.cupId}
          onChange={(cupId) => onChange({ cupId })}
        />
      </div>
    </Sheet>
  )
}
