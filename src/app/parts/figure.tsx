import { useState } from 'react'
import type { Worked } from '../../clinical/worked.ts'
import { rangeText, significant } from './figure-text.ts'
import { withUnit } from './number-rule.ts'
import { SpreadBar } from './spread-bar.tsx'
import { KindMark } from './strip.tsx'
import { unitText } from './unit-text.ts'
import { WorkingSheet } from './working.tsx'
import './figure.css'

type FigureProps = {
  readonly name: string
  readonly worked: Worked
  /** Significant digits shown; two by default, since few of these figures are surer than that. */
  readonly digits?: number
  /** Instead of the unit made from the UCUM code. */
  readonly unit?: string
  /** Leaves the name out of sight where a row or column heading already says it. */
  readonly nameUnseen?: boolean
  /** `line` stands in running text; `large` is a figure of its own. */
  readonly size?: 'large' | 'line'
  /** Draws the spread on a line between these ends, the same for figures that are to be compared. */
  readonly scale?: { readonly from: number; readonly to: number }
}

/** A computed figure. Pressing it opens its working: steps, sources, how far it holds. */
export function Figure(props: FigureProps) {
  const { name, worked, digits = 2, unit, nameUnseen = false, size = 'large', scale } = props
  // Closed sheets cost time at every move of a dial: there is none until it is first asked for.
  const [open, setOpen] = useState<boolean | null>(null)
  const shownUnit = unit ?? unitText(worked.unit)
  const value = significant(worked.value, digits)
  const range = worked.spread ? rangeText(worked.spread.low, worked.spread.high, digits) : null
  return (
    <>
      {/* The plain button of the page: figures are drawn at every move of a dial, and this one costs least. */}
      <button
        type="button"
        className={`figure figure-${size}`}
        onClick={() => setOpen(true)}
        aria-haspopup="dialog"
      >
        <span className={nameUnseen ? 'unseen' : 'figure-name'}>{name}</span>{' '}
        <span className="figure-value">
          <span className={size === 'large' ? 'figure-number' : 'strong'}>{value}</span>
          {shownUnit && <span className="figure-unit">{` ${shownUnit}`}</span>}
          {worked.caution && <KindMark kind="caution" />}
        </span>
        {range !== null && !scale && <span className="figure-spread">{` ${range}`}</span>}
        {worked.spread && scale && (
          <SpreadBar
            {...worked.spread}
            name={name}
            likely={worked.value}
            unit={shownUnit}
            scale={scale}
            digits={digits}
          />
        )}
        <span className="unseen">. Show the working.</span>
      </button>
      {open !== null && (
        <WorkingSheet
          title={`${name}: ${withUnit(value, shownUnit)}`}
          worked={worked}
          isOpen={open}
          onClose={() => setOpen(false)}
        />
      )}
    </>
  )
}
