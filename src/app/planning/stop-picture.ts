/** One stop of a round as it is drawn: everything in words and positions, nothing left to compute while rendering. */
export type StopPicture = {
  /** The visit's id; for the break, `break` and the therapist. */
  readonly id: string
  readonly kind: 'visit' | 'break'
  /** When the therapist is promised to be there, on the hospital's clock. */
  readonly at: string
  readonly walkMinutes: number
  /** "3 min walk, lift", with the wait before the window where there is one. */
  readonly wayWords: string
  readonly place: string
  readonly who: string
  readonly what: string
  readonly how: string
  readonly state: 'on time' | 'tight' | 'late'
  /** "97 in 100 on time", "8 min late". */
  readonly words: string
  /** The same with its times, for a screen reader. */
  readonly spoken: string
  /** The first dose of the stay that is still to be given; null for a break. */
  readonly dose: {
    readonly orderId: string
    readonly patientId: string
    readonly doseAt: string | null
  } | null
  /** Where it stands on the map of units; null for what is not there. */
  readonly unit: string | null
  readonly window: {
    readonly scale: { readonly from: number; readonly to: number }
    readonly opens: number
    readonly closes: number
    readonly lastAt: number
    readonly arrival: { readonly low: number; readonly likely: number; readonly high: number }
  } | null
  /** The next thing to do. */
  readonly isNext: boolean
  readonly begun: boolean
  readonly pinned: boolean
  /** False for what is running, walked to or frozen. */
  readonly movable: boolean
}
