/** A list of 32-bit integers that grows by doubling. */
export class GrowingInts {
  values = new Int32Array(1024)
  length = 0

  push(value: number): void {
    if (this.length === this.values.length) {
      const wider = new Int32Array(2 * this.values.length)
      wider.set(this.values)
      this.values = wider
    }
    this.values[this.length++] = value
  }

  /** Takes the last value off; the list must not be empty. */
  pop(): number {
    return this.values[--this.length] as number
  }

  get(index: number): number {
    return this.values[index] as number
  }
}
