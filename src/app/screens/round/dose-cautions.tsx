import { useCautionsOf } from '../../hospital/index.ts'
import { KindMark } from '../../parts/strip.tsx'

/** What formulary and chart say against a dose before anybody walks there: the first in words, the rest counted. */
export function DoseCautions({
  orderId,
  doseAt,
}: {
  readonly orderId: string
  readonly doseAt: string | null
}) {
  const found = useCautionsOf(orderId, doseAt)
  const first = found.find(({ severity }) => severity === 'stop') ?? found[0]
  if (!first) return null
  const more = found.length - 1
  return (
    <p className="dose-caution">
      <KindMark kind={first.severity === 'stop' ? 'halt' : 'caution'} />
      <span>
        {first.what}
        {more > 0 && <span className="quiet">{` ${more} more at the door.`}</span>}
      </span>
    </p>
  )
}
