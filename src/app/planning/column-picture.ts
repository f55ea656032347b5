/** A stop of one therapist as the floor draws it. Minutes are those of the shift. */
export type FloorStop = {
  readonly id: string
  readonly kind: 'visit' | 'break'
  readonly from: number
  readonly until: number
  /** "4WEST 12, Imani R." */
  readonly label: string
  /** "8 min late", "tight"; empty when on time. */
  readonly remark: string
  readonly state: 'on time' | 'tight' | 'late'
  /** The whole of it for a screen reader: times, place, who, what, how it stands. */
  readonly spoken: string
  readonly pinned: boolean
  /** False for what is done, running or frozen. */
  readonly movable: boolean
}

/** One therapist of the floor. */
export type ColumnPicture = {
  readonly id: string
  readonly name: string
  /** "9 visits, 1 late". */
  readonly words: string
  /** "7 h 40 of 11 h 30 at work". */
  readonly loadWords: string
  /** When this therapist is there. */
  readonly from: number
  readonly until: number
  readonly late: number
  /** Share of each hour of the shift that is spent at bedsides and on the way, 0 to 1; null where she is not there. */
  readonly hours: readonly (number | null)[]
  readonly stops: readonly FloorStop[]
}
