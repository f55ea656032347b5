/** A column of the linear program: its cost and its few non-zero rows. */
export type Column = {
  readonly cost: number
  readonly rows: readonly number[]
  readonly values: readonly number[]
}

const EPSILON = 1e-7
/** After so many pivots the inverse is computed afresh, so that rounding errors do not add up. */
const REFRESH_AFTER = 800
const TOLERANCE = 1e-6
const CANDIDATES = 60
const PIVOTS_PER_ROW = 40

/**
 * Minimizes cost over x ≥ 0 with A x = b by the revised simplex method with a dense inverse (textbook method, from
 * memory). Columns are added over time; each solve goes on from the last basis. The first columns must be a feasible
 * basis that is a unit matrix.
 */
export class Simplex {
  readonly duals: Float64Array
  private readonly rows: number
  private readonly right: Float64Array
  private readonly columns: Column[] = []
  private readonly basis: Int32Array
  private readonly place: number[] = []
  private inverse: Float64Array
  private readonly solution: Float64Array
  private sincePivots = 0
  private candidates: number[] = []

  constructor(right: readonly number[], unitCosts: readonly number[]) {
    this.rows = right.length
    this.right = Float64Array.from(right)
    this.solution = Float64Array.from(right)
    this.duals = new Float64Array(this.rows)
    this.basis = Int32Array.from({ length: this.rows }, (_, i) => i)
    this.inverse = identity(this.rows)
    unitCosts.forEach((cost, i) => {
      this.columns.push({ cost, rows: [i], values: [1] })
      this.place.push(i)
    })
  }

  add(column: Column): void {
    this.columns.push(column)
    this.place.push(-1)
  }

  /** Solves to optimality over the columns so far (or to a limit of pivots) and gives the value. */
  solve(): number {
    this.computeDuals()
    for (let pivots = 0; pivots < PIVOTS_PER_ROW * this.rows; pivots++) {
      const entering = this.entering()
      if (entering < 0) break
      const promise = this.reducedCost(this.columns[entering] as Column)
      const direction = this.direction(entering)
      const leaving = this.leaving(direction)
      if (leaving < 0) break
      this.pivot(entering, leaving, direction)
      if (++this.sincePivots >= REFRESH_AFTER) this.refresh()
      else this.moveDuals(promise, leaving)
    }
    return this.basis.reduce(
      (sum, column, i) => sum + (this.columns[column] as Column).cost * this.value(i),
      0,
    )
  }

  /** Throws away columns outside the basis whose reduced cost is above the limit; keeps the `first` columns. */
  prune(first: number, limit: number): void {
    const keep: number[] = []
    this.columns.forEach((column, j) => {
      if (j < first || (this.place[j] as number) >= 0 || this.reducedCost(column) <= limit) keep.push(j)
    })
    const moved = new Map(keep.map((j, i) => [j, i]))
    const kept = keep.map((j) => this.columns[j] as Column)
    const places = keep.map((j) => this.place[j] as number)
    this.candidates = []
    this.columns.splice(0, this.columns.length, ...kept)
    this.place.splice(0, this.place.length, ...places)
    this.basis.forEach((j, i) => {
      this.basis[i] = moved.get(j) as number
    })
  }

  /** Changes the cost of a column. */
  setCost(index: number, cost: number): void {
    this.columns[index] = { ...(this.columns[index] as Column), cost }
  }

  get size(): number {
    return this.columns.length
  }

  private value(i: number): number {
    return this.solution[i] as number
  }

  private reducedCost(column: Column): number {
    let cost = column.cost
    for (let i = 0; i < column.rows.length; i++)
      cost -= (this.duals[column.rows[i] as number] as number) * (column.values[i] as number)
    return cost
  }

  /** The column that promises most among the candidates; a new list of candidates is drawn up when none is left. */
  private entering(): number {
    const known = this.bestCandidate()
    if (known >= 0) return known
    const fresh: { readonly column: number; readonly cost: number }[] = []
    this.columns.forEach((column, j) => {
      if ((this.place[j] as number) >= 0) return
      const cost = this.reducedCost(column)
      if (cost < -TOLERANCE) fresh.push({ column: j, cost })
    })
    fresh.sort((a, b) => a.cost - b.cost)
    this.candidates = fresh.slice(0, CANDIDATES).map((item) => item.column)
    return this.candidates[0] ?? -1
  }

  private bestCandidate(): number {
    let best = -TOLERANCE
    let entering = -1
    for (const j of this.candidates) {
      if ((this.place[j] as number) >= 0) continue
      const cost = this.reducedCost(this.columns[j] as Column)
      if (cost < best) {
        best = cost
        entering = j
      }
    }
    return entering
  }

  private direction(entering: number): Float64Array {
    const { rows, inverse } = this
    const column = this.columns[entering] as Column
    const direction = new Float64Array(rows)
    for (let c = 0; c < column.rows.length; c++) {
      const value = column.values[c] as number
      const at = column.rows[c] as number
      for (let i = 0; i < rows; i++)
        direction[i] = (direction[i] as number) + value * (inverse[i * rows + at] as number)
    }
    return direction
  }

  private leaving(direction: Float64Array): number {
    let leaving = -1
    let least = Number.POSITIVE_INFINITY
    for (let i = 0; i < this.rows; i++) {
      const step = direction[i] as number
      if (step <= EPSILON) continue
      const ratio = Math.max(0, this.value(i)) / step
      const tie = Math.abs(ratio - least) <= EPSILON && leaving >= 0 && step > (direction[leaving] as number)
      if (ratio < least - EPSILON || tie) {
        least = Math.min(least, ratio)
        leaving = i
      }
    }
    return leaving
  }

  private pivot(entering: number, leaving: number, direction: Float64Array): void {
    const { rows, inverse, solution } = this
    const step = Math.max(0, this.value(leaving)) / (direction[leaving] as number)
    const scale = 1 / (direction[leaving] as number)
    const from = leaving * rows
    for (let c = 0; c < rows; c++) inverse[from + c] = (inverse[from + c] as number) * scale
    for (let i = 0; i < rows; i++) {
      const factor = direction[i] as number
      if (i === leaving || factor === 0) continue
      solution[i] = this.value(i) - step * factor
      const to = i * rows
      for (let c = 0; c < rows; c++) {
        const pivotCell = inverse[from + c] as number
        if (pivotCell !== 0) inverse[to + c] = (inverse[to + c] as number) - factor * pivotCell
      }
    }
    solution[leaving] = step
    this.place[this.basis[leaving] as number] = -1
    this.basis[leaving] = entering
    this.place[entering] = leaving
  }

  /** Duals after a pivot: the entering column's reduced cost becomes zero. */
  private moveDuals(promise: number, row: number): void {
    const { rows, inverse, duals } = this
    for (let c = 0; c < rows; c++)
      duals[c] = (duals[c] as number) + promise * (inverse[row * rows + c] as number)
  }

  private computeDuals(): void {
    const { rows, inverse, duals } = this
    duals.fill(0)
    for (let i = 0; i < rows; i++) {
      const cost = (this.columns[this.basis[i] as number] as Column).cost
      if (cost === 0) continue
      for (let c = 0; c < rows; c++)
        duals[c] = (duals[c] as number) + cost * (inverse[i * rows + c] as number)
    }
  }

  /** Computes the inverse of the basis and the solution afresh (Gauss–Jordan with row exchange). */
  private refresh(): void {
    const { rows } = this
    this.sincePivots = 0
    const matrix = new Float64Array(rows * rows)
    this.basis.forEach((j, i) => {
      const column = this.columns[j] as Column
      column.rows.forEach((row, c) => {
        matrix[row * rows + i] = column.values[c] as number
      })
    })
    const inverse = inverted(matrix, rows)
    if (inverse === null) {
      this.computeDuals()
      return
    }
    this.inverse = inverse
    for (let i = 0; i < rows; i++) {
      let value = 0
      for (let c = 0; c < rows; c++) value += (inverse[i * rows + c] as number) * (this.right[c] as number)
      this.solution[i] = value
    }
    this.computeDuals()
  }
}

function identity(rows: number): Float64Array {
  const matrix = new Float64Array(rows * rows)
  for (let i = 0; i < rows; i++) matrix[i * rows + i] = 1
  return matrix
}

/** The inverse of a matrix, null if it is singular to working accuracy. */
function inverted(matrix: Float64Array, rows: number): Float64Array | null {
  const result = identity(rows)
  const swap = (table: Float64Array, a: number, b: number) => {
    for (let c = 0; c < rows; c++) {
      const kept = table[a * rows + c] as number
      table[a * rows + c] = table[b * rows + c] as number
      table[b * rows + c] = kept
    }
  }
  const subtract = (table: Float64Array, to: number, from: number, factor: number) => {
    for (let c = 0; c < rows; c++) {
      const value = table[from * rows + c] as number
      if (value !== 0) table[to * rows + c] = (table[to * rows + c] as number) - factor * value
    }
  }
  for (let i = 0; i < rows; i++) {
    let best = i
    for (let r = i + 1; r < rows; r++)
      if (Math.abs(matrix[r * rows + i] as number) > Math.abs(matrix[best * rows + i] as number)) best = r
    const lead = matrix[best * rows + i] as number
    if (Math.abs(lead) < 1e-9) return null
    if (best !== i) {
      swap(matrix, best, i)
      swap(result, best, i)
    }
    for (let c = 0; c < rows; c++) {
      matrix[i * rows + c] = (matrix[i * rows + c] as number) / lead
      result[i * rows + c] = (result[i * rows + c] as number) / lead
    }
    for (let r = 0; r < rows; r++) {
      const factor = matrix[r * rows + i] as number
      if (r === i || factor === 0) continue
      subtract(matrix, r, i, factor)
      subtract(result, r, i, factor)
    }
  }
  return result
}
