const [START, END, RETURN] = [0x0b, 0x1c, 0x0d]
/** A frame larger than this is given up and told [bytes]. */
const FRAME_LIMIT = 2_000_000

export type Frame =
  | { readonly kind: 'message'; readonly bytes: Uint8Array }
  /** Bytes that stood outside any frame, or a frame that was too large or cut short. */
  | { readonly kind: 'noise'; readonly what: string; readonly bytes: number }

/**
 * Takes frames out of a stream of bytes however it is cut up (HL7 Lower Layer Protocol: 0x0B, message, 0x1C 0x0D).
 * A start byte inside a frame means that the frame before was cut short.
 */
export class MllpDecoder {
  #frame: number[] | null = null
  #tooLarge = false
  #noise = 0

  take(chunk: Uint8Array): Frame[] {
    const frames: Frame[] = []
    for (const byte of chunk) this.#byte(byte, frames)
    return frames
  }

  #byte(byte: number, frames: Frame[]): void {
    if (byte === START) {
      this.#begin(frames)
      return
    }
    if (!this.#frame) {
      // The carriage return after an end byte belongs to the frame before it.
      if (byte !== RETURN) this.#noise += 1
      return
    }
    if (byte === END) {
      frames.push(
        this.#tooLarge
          ? { kind: 'noise', what: `a frame was larger than ${FRAME_LIMIT} bytes`, bytes: this.#frame.length }
          : { kind: 'message', bytes: Uint8Array.from(this.#frame) },
      )
      this.#frame = null
      return
    }
    if (this.#frame.length >= FRAME_LIMIT) this.#tooLarge = true
    else this.#frame.push(byte)
  }

  #begin(frames: Frame[]): void {
    if (this.#noise > 0) frames.push({ kind: 'noise', what: 'bytes outside any frame', bytes: this.#noise })
    if (this.#frame) {
      frames.push({ kind: 'noise', what: 'a frame was cut short by the next', bytes: this.#frame.length })
    }
    this.#noise = 0
    this.#tooLarge = false
    this.#frame = []
  }
}
