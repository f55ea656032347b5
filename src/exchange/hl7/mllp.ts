const [START, END, RETURN, NEW_LINE] = [0x0b, 0x1c, 0x0d, 0x0a]
/** A frame larger than this is given up and told [bytes]. */
const FRAME_LIMIT = 2_000_000

export type Frame =
  | { readonly kind: 'message'; readonly bytes: Uint8Array }
  /**
   * Bytes that stood outside any frame, or a frame that was too large or cut short: how many there were, and the
   * bytes themselves up to the limit, the start byte of a frame with them. Who sent a whole frame that was too large
   * waits for an answer.
   */
  | {
      readonly kind: 'noise'
      readonly what: string
      readonly bytes: number
      readonly content: Uint8Array
      readonly isTooLarge: boolean
    }

/**
 * Takes frames out of a stream of bytes however it is cut up (HL7 Lower Layer Protocol: 0x0B, message, 0x1C 0x0D).
 * Only both end bytes together end a frame; 0x1C alone is part of what is in it. A start byte inside a frame means
 * that the frame before was cut short. After the last byte `finish` tells what is left.
 */
export class MllpDecoder {
  readonly #limit: number
  #isFrame = false
  #last = 0
  #bytes: number[] = []
  #count = 0

  constructor(limitBytes = FRAME_LIMIT) {
    this.#limit = limitBytes
  }

  /** Is a frame begun that has not ended? */
  get isWithinFrame(): boolean {
    return this.#isFrame
  }

  take(chunk: Uint8Array): Frame[] {
    const frames: Frame[] = []
    for (const byte of chunk) this.#byte(byte, frames)
    return frames
  }

  /** The stream has ended: what has not become a frame is told as noise, and a new stream may begin. */
  finish(): Frame[] {
    const left = this.#left('a frame was cut short by the end')
    this.#begin(false)
    return left
  }

  #byte(byte: number, frames: Frame[]): void {
    if (byte === START) {
      frames.push(...this.#left('a frame was cut short by the next'))
      this.#begin(true)
      return
    }
    const endsFrame = this.#isFrame && byte === RETURN && this.#last === END
    this.#last = byte
    if (endsFrame) {
      frames.push(this.#whole())
      this.#begin(false)
    } else this.#keep(byte)
  }

  #begin(isFrame: boolean): void {
    this.#isFrame = isFrame
    this.#bytes = []
    this.#count = 0
    this.#last = 0
  }

  #keep(byte: number): void {
    this.#count += 1
    if (this.#bytes.length < this.#limit) this.#bytes.push(byte)
  }

  #whole(): Frame {
    // The first end byte was kept while it was not yet known to be one.
    const length = this.#count - 1
    if (length > this.#limit)
      return noise(`a frame was larger than ${this.#limit} bytes`, length, this.#framed(), true)
    return { kind: 'message', bytes: Uint8Array.from(this.#bytes.slice(0, length)) }
  }

  #left(cutShort: string): Frame[] {
    if (this.#isFrame) return [noise(cutShort, this.#count, this.#framed())]
    // Line ends between frames are how some senders part them; they say nothing.
    const isEmpty = this.#bytes.every((byte) => byte === RETURN || byte === NEW_LINE)
    return isEmpty ? [] : [noise('bytes outside any frame', this.#count, this.#bytes)]
  }

  #framed(): number[] {
    return [START, ...this.#bytes]
  }
}

function noise(what: string, bytes: number, content: readonly number[], isTooLarge = false): Frame {
  return { kind: 'noise', what, bytes, content: Uint8Array.from(content), isTooLarge }
}

/** A message in its frame, ready to be sent. */
export function framed(text: string): Uint8Array {
  const bytes = new TextEncoder().encode(text)
  const frame = new Uint8Array(bytes.length + 3)
  frame.set([START])
  frame.set(bytes, 1)
  frame.set([END, RETURN], bytes.length + 1)
  return frame
}
