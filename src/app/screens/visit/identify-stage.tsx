import { useState } from 'react'
import type { Product } from '../../../chart/bedside/products.ts'
import { fullName } from '../../../chart/folds/patient.ts'
import {
  compareMedicine,
  comparePatient,
  type Difference,
  type IdentifierSeen,
  type ProductInHand,
} from '../../../chart/stages/identify.ts'
import { CameraScan } from '../../camera/camera-scan.tsx'
import { Button } from '../../parts/button.tsx'
import { Choice } from '../../parts/choice.tsx'
import { DateEntry } from '../../parts/date-entry.tsx'
import { HardStop } from '../../parts/hard-stop.tsx'
import { Strip } from '../../parts/strip.tsx'
import { TextEntry } from '../../parts/text-entry.tsx'
import { useScanner } from '../../parts/use-scanner.ts'
import type { Bedside } from './bedside.ts'
import { useDesk } from './desk.ts'

type Refusal = {
  readonly of: 'patient' | 'medicine'
  readonly how: 'stated' | 'scanned' | 'typed'
  readonly differences: readonly Difference[]
}

/** Two identifiers that agree, then every ordered medicine in the hand. Anything that differs takes the screen. */
export function IdentifyStage({
  bedside,
  onNotGiven,
}: {
  readonly bedside: Bedside
  readonly onNotGiven: () => void
}) {
  const { act, visit } = useDesk()
  const [refusal, setRefusal] = useState<Refusal | null>(null)
  const refuse = async (of: Refusal['of'], how: Refusal['how'], differences: readonly Difference[]) => {
    setRefusal({ of, how, differences })
    await act('identity-refused', { of, how, differences: [...differences] })
  }
  return (
    <>
      {visit.identified ? (
        <Medicines bedside={bedside} refuse={refuse} />
      ) : (
        <Patient bedside={bedside} refuse={refuse} />
      )}
      <HardStop
        isOpen={refusal !== null}
        title={
          refusal?.of === 'patient'
            ? 'This is not the patient of the order.'
            : 'This is not what was ordered.'
        }
        differences={refusal?.differences ?? []}
        todo={
          refusal?.of === 'patient'
            ? 'Give nothing. Ask the patient again, look at the band on the wrist, and begin anew. It is on the record that this did not agree.'
            : 'Put it aside. Take the right one, or ask the pharmacist. It is on the record that this did not agree.'
        }
        actions={[
          {
            label: refusal?.of === 'patient' ? 'Identify again' : 'Take another',
            onPress: () => setRefusal(null),
          },
          {
            label: 'Not given',
            onPress: () => {
              setRefusal(null)
              onNotGiven()
            },
          },
        ]}
      />
    </>
  )
}

type PartProps = {
  readonly bedside: Bedside
  readonly refuse: (
    of: Refusal['of'],
    how: Refusal['how'],
    differences: readonly Difference[],
  ) => Promise<void>
}

function Patient({ bedside, refuse }: PartProps) {
  const { patient, act } = useDesk()
  const [seen, setSeen] = useState<readonly IdentifierSeen[]>([])
  const [band, setBand] = useState('')
  const [scannerDown, setScannerDown] = useState('')
  const [problem, setProblem] = useState<string | null>(null)

  const take = async (identifier: IdentifierSeen) => {
    const compared = comparePatient(patient, [identifier])
    if (!compared.ok) {
      setSeen([])
      await refuse('patient', identifier.how, compared.differences)
      return
    }
    const next = [...seen.filter(({ what }) => what !== identifier.what), identifier]
    setSeen(next)
    if (next.length >= 2) {
      await act('patient-identified', {
        identifiers: next,
        ...(scannerDown.trim() && { scannerDownWhy: scannerDown.trim() }),
      })
    }
  }
  const wristband = (scan: string, how: 'scanned' | 'typed') => {
    const read = bedside.readWristband(scan)
    if ('refused' in read) setProblem(read.refused)
    else {
      setProblem(null)
      take({ what: 'wristband', how, value: read.value })
    }
  }
  useScanner(true, (scan) => wristband(scan, 'scanned'))

  const has = (what: IdentifierSeen['what']) => seen.some((identifier) => identifier.what === what)
  const differs = (what: IdentifierSeen['what']) =>
    refuse('patient', 'stated', [
      {
        what,
        expected: what === 'name' ? fullName(patient) : (patient.dob ?? 'not known'),
        found: 'the patient said something else',
      },
    ])
  return (
    <div className="stack stack-wide">
      <p className="voice">Ask for name and date of birth. Do not read them out first.</p>
      <div className="side-by-side">
        <Stated
          label={`Says “${fullName(patient)}”`}
          done={has('name')}
          onAgree={() => take({ what: 'name', how: 'stated', value: fullName(patient) })}
          onDiffer={() => differs('name')}
        />
        <Stated
          label={`Says born ${patient.dob ?? 'unknown'}`}
          done={has('date of birth')}
          onAgree={() => take({ what: 'date of birth', how: 'stated', value: patient.dob ?? '' })}
          onDiffer={() => differs('date of birth')}
        />
      </div>
      <section className="stack">
        <h3>Or the wristband</h3>
        <p className="quiet">
          {has('wristband')
            ? 'Wristband read ✓'
            : 'Scan it now; it must be on the wrist. A room number is not an identifier.'}
        </p>
        <div className="row">
          <CameraScan of="the wristband" onScan={(scan) => wristband(scan, 'scanned')} />
        </div>
        <div className="row">
          <TextEntry
            label="Number on the band, typed"
            value={band}
            onChange={setBand}
            {...(problem !== null && { problem })}
          />
          <Button isDisabled={band.trim() === ''} onPress={() => wristband(band.trim(), 'typed')}>
            Compare
          </Button>
        </div>
        <TextEntry label="If the scanner is down, say so" value={scannerDown} onChange={setScannerDown} />
      </section>
      {seen.length === 1 && <Strip kind="note">One agrees ({seen[0]?.what}). One more.</Strip>}
    </div>
  )
}

type StatedProps = {
  readonly label: string
  readonly done: boolean
  readonly onAgree: () => void
  readonly onDiffer: () => void
}

function Stated({ label, done, onAgree, onDiffer }: StatedProps) {
  return (
    <div className="stack stack-close">
      <Button
        gloved
        wide
        tone={done ? 'plain' : 'primary'}
        {...(done && { 'aria-pressed': true })}
        onPress={onAgree}
      >
        {label}
        {done && ' ✓'}
      </Button>
      <Button tone="quiet" onPress={onDiffer}>
        Something else was said
      </Button>
    </div>
  )
}

function Medicines({ bedside, refuse }: PartProps) {
  const { terms, visit, today, act } = useDesk()
  const [product, setProduct] = useState<Product | null>(null)
  const [gtin, setGtin] = useState<string | null>(null)
  const [lot, setLot] = useState('')
  const [expiry, setExpiry] = useState('')
  const [how, setHow] = useState<'scanned' | 'typed'>('typed')
  const [problem, setProblem] = useState<string | null>(null)

  const scanned = (scan: string) => {
    const read = bedside.readMedicine(scan)
    if (!read.ok) {
      setProblem(read.what)
      return
    }
    setProblem(null)
    if (read.expiry !== null) {
      take(read.product, read.expiry, read.lot, 'scanned', read.gtin)
      return
    }
    setHow('scanned')
    setGtin(read.gtin)
    setLot(read.lot ?? '')
    setProduct(read.product)
    setExpiry('')
  }
  useScanner(true, scanned)

  const take = async (
    chosen: Product,
    until: string,
    lotRead: string | null,
    by: 'scanned' | 'typed',
    code: string | null,
  ) => {
    const compared = compareMedicine(terms, inHand(chosen, until), today)
    setProduct(null)
    setExpiry('')
    setLot('')
    if (!compared.ok) {
      await refuse('medicine', by, compared.differences)
      return
    }
    for (const medicineId of [chosen.medicineId]) {
      await act('medicine-identified', {
        medicineId,
        productId: chosen.productId,
        text: chosen.text,
        gtin: code,
        lot: lotRead || null,
        expiry: until,
        how: by,
      })
    }
  }
  const wanted = terms.medicines.filter(
    ({ part, medicineId }) =>
      part === 'medicine' && !visit.medicines.some(({ body }) => body.medicineId === medicineId),
  )
  const likely = bedside.products.filter((each) =>
    wanted.some(({ medicineId }) => medicineId === each.medicineId),
  )
  return (
    <div className="stack stack-wide">
      <p className="voice">Now the medicine: {wanted.map(({ text }) => text).join(' and ')}.</p>
      <p className="quiet">Scan the container, or choose what is printed on it.</p>
      <div className="row">
        <CameraScan of="the container" onScan={scanned} />
      </div>
      {problem !== null && (
        <Strip kind="caution" word="The code cannot be used." spoken>
          {problem}
        </Strip>
      )}
      <Choice
        label="In the hand"
        tileRem={18}
        options={likely.map(({ productId, text, strength }) => ({
          value: productId,
          label: text,
          note: strength,
        }))}
        value={product?.productId ?? null}
        onChange={(id) => {
          setHow('typed')
          setGtin(null)
          setProduct(bedside.products.find(({ productId }) => productId === id) ?? null)
        }}
      />
      {product && (
        <div className="side-by-side">
          <DateEntry label="Expires" value={expiry} onChange={setExpiry} />
          <TextEntry label="Lot, if it can be read" value={lot} onChange={setLot} />
        </div>
      )}
      <div className="row row-apart">
        <span />
        <Button
          tone="primary"
          gloved
          isDisabled={product === null || expiry === ''}
          onPress={() => product && expiry !== '' && take(product, expiry, lot.trim() || null, how, gtin)}
        >
          {product === null ? 'Scan or choose first' : expiry === '' ? 'Expiry first' : 'This is in the hand'}
        </Button>
      </div>
    </div>
  )
}

/** A product of the list with the expiry read off it. Everything on the list is for inhalation. */
function inHand(product: Product, expiry: string): ProductInHand {
  const { productId, medicineId, text, strength } = product
  return { productId, medicineIds: [medicineId], text, strength, route: 'inhalation', expiry }
}
