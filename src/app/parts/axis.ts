/** An axis of a chart. */
export type Axis = {
  readonly name: string
  readonly unit: string
  readonly from: number
  readonly to: number
  /** Values that are written at the axis, with other words where a number would not say it. */
  readonly ticks: readonly { readonly at: number; readonly words?: string }[]
}
