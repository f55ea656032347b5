import { connect, type Socket } from 'node:net'
import { type ConnectionOptions, connect as connectTls } from 'node:tls'
import { framed, MllpDecoder } from '../../exchange/hl7/mllp.ts'
import { type ReadAnswer, readAnswer } from '../../exchange/hl7/read-answer.ts'

/** What came of one try to send. */
export type Sent =
  | { readonly kind: 'answered'; readonly answer: ReadAnswer }
  /** Nobody could be reached, so nothing was sent. */
  | { readonly kind: 'no line'; readonly why: string }
  /** It was sent, and no answer to it came: whether it was taken is not known. */
  | { readonly kind: 'no answer'; readonly why: string }

const CLOSED = 'the connection was closed before an answer came'

type Settings = {
  readonly host: string
  readonly port: number
  readonly answerMs: number
  readonly tls: ConnectionOptions | null
}

/** What the line waits for at present. */
type Waiting = { readonly controlId: string; readonly settle: (sent: Sent) => void }

/**
 * The line to one receiver: one message at a time, on a connection that is kept open while the receiver keeps it. The
 * answer is the one that names the message; an answer to another is passed over.
 */
export class FeedLine {
  readonly #settings: Settings
  #socket: Socket | null = null
  #decoder = new MllpDecoder()
  #waiting: Waiting | null = null

  constructor(settings: Settings) {
    this.#settings = settings
  }

  async send(text: string, controlId: string): Promise<Sent> {
    const kept = this.#socket
    if (kept) {
      const sent = await this.#exchange(kept, text, controlId)
      // A connection that was kept may have been closed by the other side in this very moment: once more on a new one.
      if (sent.kind !== 'no answer' || sent.why !== CLOSED) return sent
    }
    const opened = await this.#open()
    return typeof opened === 'string'
      ? { kind: 'no line', why: opened }
      : this.#exchange(opened, text, controlId)
  }

  close(): void {
    this.#socket?.destroy()
    this.#socket = null
    this.#settle({ kind: 'no answer', why: 'this program was told to stop' })
  }

  /** A connection, or why there is none. */
  #open(): Promise<Socket | string> {
    const { host, port, tls, answerMs } = this.#settings
    const socket = tls === null ? connect({ host, port }) : connectTls({ ...tls, host, port })
    socket.setNoDelay(true).setKeepAlive(true, 60_000)
    return new Promise((resolve) => {
      const fail = (why: string) => {
        clearTimeout(late)
        socket.destroy()
        resolve(why)
      }
      const late = setTimeout(() => fail('no connection in time'), answerMs)
      const failed = (error: NodeJS.ErrnoException) => fail(error.code ?? error.message)
      socket.on('error', failed)
      socket.once(tls === null ? 'connect' : 'secureConnect', () => {
        clearTimeout(late)
        socket.off('error', failed)
        this.#keep(socket)
        resolve(socket)
      })
    })
  }

  #keep(socket: Socket): void {
    this.#socket = socket
    this.#decoder = new MllpDecoder()
    socket.on('error', () => undefined)
    socket.on('data', (chunk) => this.#heard(chunk))
    socket.on('end', () => this.#drop(socket))
    socket.on('close', () => this.#drop(socket))
  }

  #drop(socket: Socket): void {
    socket.destroy()
    if (this.#socket !== socket) return
    this.#socket = null
    this.#settle({ kind: 'no answer', why: CLOSED })
  }

  #exchange(socket: Socket, text: string, controlId: string): Promise<Sent> {
    return new Promise((resolve) => {
      const late = setTimeout(() => {
        this.#settle({ kind: 'no answer', why: 'no answer came in time' })
        // An answer that comes later must not be taken for that to the next message.
        this.#drop(socket)
      }, this.#settings.answerMs)
      const settle = (sent: Sent) => {
        clearTimeout(late)
        resolve(sent)
      }
      this.#waiting = { controlId, settle }
      socket.write(framed(text))
    })
  }

  #heard(chunk: Uint8Array): void {
    for (const frame of this.#decoder.take(chunk)) {
      const answer = frame.kind === 'message' ? readAnswer(frame.bytes) : null
      if (answer && answer.controlId === this.#waiting?.controlId) this.#settle({ kind: 'answered', answer })
    }
  }

  #settle(sent: Sent): void {
    const waiting = this.#waiting
    this.#waiting = null
    waiting?.settle(sent)
  }
}
