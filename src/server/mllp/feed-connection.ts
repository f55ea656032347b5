import type { Socket } from 'node:net'
import { type Frame, framed, MllpDecoder } from '../../exchange/hl7/mllp.ts'

/** What a connection does with what comes over it. */
type Handling = {
  /** A frame that was begun must be whole, and an answer taken, within this time [ms]. */
  readonly frameMs: number
  readonly largestBytes: number
  /** Stores a frame and gives its answer. When it throws, the connection is closed without one. */
  readonly take: (frame: Frame) => Promise<string | null>
  readonly failed: (error: unknown) => void
  readonly slow: () => void
  /** The connection ended within a frame: its sender has no answer and will send it again. */
  readonly cutShort: () => void
}

/**
 * One connection of a sender: frames out of the stream however it is cut up, each stored and answered before the next
 * is looked at. While one is stored nothing more is read, so a sender that does not wait cannot fill the memory.
 */
export class FeedConnection {
  readonly #socket: Socket
  readonly #handling: Handling
  readonly #decoder: MllpDecoder
  #timer: NodeJS.Timeout | null = null
  #working: Promise<void> = Promise.resolve()
  #isClosing = false

  constructor(socket: Socket, handling: Handling) {
    this.#socket = socket
    this.#handling = handling
    this.#decoder = new MllpDecoder(handling.largestBytes)
    socket.on('data', (chunk) => this.#data(chunk))
    // A peer that vanishes is an everyday thing; what it had not sent whole it sends again.
    socket.on('error', () => undefined)
    socket.on('end', () => this.#end())
    socket.on('close', () => this.#stopTimer())
  }

  /** Answers what is being stored, then closes. */
  async close(): Promise<void> {
    this.#isClosing = true
    this.#socket.pause()
    await this.#working
    this.#socket.end()
    this.#socket.destroySoon()
  }

  #data(chunk: Uint8Array): void {
    if (this.#isClosing) return
    const frames = this.#decoder.take(chunk)
    // The time counts from the beginning of a frame: bytes that trickle in do not buy more of it.
    if (!this.#decoder.isWithinFrame) this.#stopTimer()
    if (this.#decoder.isWithinFrame && this.#timer === null) this.#startTimer()
    if (frames.length === 0) return
    this.#socket.pause()
    this.#stopTimer()
    this.#working = this.#handle(frames)
  }

  async #handle(frames: readonly Frame[]): Promise<void> {
    try {
      for (const frame of frames) {
        const answer = await this.#handling.take(frame)
        if (answer !== null) await this.#write(framed(answer))
      }
      if (this.#isClosing) return
      if (this.#decoder.isWithinFrame) this.#startTimer()
      this.#socket.resume()
    } catch (error) {
      this.#handling.failed(error)
      this.#socket.destroy()
    }
  }

  /** Written and handed on; a peer that does not take its answer in time is cut off. */
  #write(bytes: Uint8Array): Promise<void> {
    return new Promise((resolve) => {
      if (this.#socket.destroyed) return resolve()
      const late = setTimeout(() => this.#tooSlow(), this.#handling.frameMs)
      const done = () => {
        clearTimeout(late)
        this.#socket.off('close', done)
        resolve()
      }
      this.#socket.once('close', done)
      this.#socket.write(bytes, done)
    })
  }

  /** What the sender had begun and not ended was never answered, so it will send it again; other bytes are kept. */
  #end(): void {
    const isCutShort = this.#decoder.isWithinFrame
    const left = this.#decoder.finish()
    if (isCutShort) this.#handling.cutShort()
    this.#working = this.#handle(isCutShort ? [] : left).then(() => void this.#socket.end())
  }

  #startTimer(): void {
    this.#timer = setTimeout(() => this.#tooSlow(), this.#handling.frameMs)
    this.#timer.unref()
  }

  #stopTimer(): void {
    if (this.#timer) clearTimeout(this.#timer)
    this.#timer = null
  }

  #tooSlow(): void {
    this.#handling.slow()
    this.#socket.destroy()
  }
}
