import type { AddressInfo } from 'node:net'
import { connect, createServer, type Server, type Socket } from 'node:net'
import { framed, MllpDecoder } from '../../src/exchange/hl7/mllp.ts'

/** A bare sender: writes what it is given, and tells what it hears. */
export class RawSender {
  readonly socket: Socket
  readonly closed: Promise<void>
  readonly #decoder = new MllpDecoder()
  readonly #heard: string[] = []
  #wake: () => void = () => undefined

  constructor(port: number) {
    this.socket = connect({ port, host: '127.0.0.1', noDelay: true })
    this.socket.on('data', (chunk) => {
      for (const frame of this.#decoder.take(chunk))
        if (frame.kind === 'message') this.#heard.push(new TextDecoder().decode(frame.bytes))
      this.#wake()
    })
    this.socket.on('error', () => undefined)
    this.closed = new Promise((resolve) => this.socket.once('close', () => resolve()))
  }

  /** As many answers as asked for, once they are there. */
  async answers(count: number): Promise<string[]> {
    while (this.#heard.length < count) {
      await new Promise<void>((resolve) => {
        this.#wake = resolve
      })
    }
    return this.#heard.splice(0, count)
  }

  async send(text: string): Promise<string> {
    this.socket.write(framed(text))
    const [answer = ''] = await this.answers(1)
    return answer
  }
}

/** A bare receiver: keeps what came, and answers as it is told: a code, silence, or nothing and a closed line. */
export class RawReceiver {
  readonly heard: string[] = []
  reply: 'AA' | 'AE' | 'AR' | 'silence' | 'close' = 'AA'
  readonly #server: Server
  readonly #sockets = new Set<Socket>()
  #wake: () => void = () => undefined

  constructor() {
    this.#server = createServer((socket) => {
      this.#sockets.add(socket)
      const decoder = new MllpDecoder()
      socket.on('error', () => undefined)
      socket.on('data', (chunk) => {
        for (const frame of decoder.take(chunk)) if (frame.kind === 'message') this.#take(socket, frame.bytes)
      })
    })
  }

  listen(port = 0): Promise<number> {
    return new Promise((resolve) => {
      this.#server.listen(port, '127.0.0.1', () => resolve((this.#server.address() as AddressInfo).port))
    })
  }

  async until(count: number): Promise<void> {
    while (this.heard.length < count) {
      await new Promise<void>((resolve) => {
        this.#wake = resolve
      })
    }
  }

  close(): Promise<void> {
    for (const socket of this.#sockets) socket.destroy()
    return new Promise((resolve) => this.#server.close(() => resolve()))
  }

  #take(socket: Socket, bytes: Uint8Array): void {
    const text = new TextDecoder().decode(bytes)
    this.heard.push(text)
    this.#wake()
    if (this.reply === 'close') socket.destroy()
    if (this.reply === 'close' || this.reply === 'silence') return
    const error = this.reply === 'AA' ? '' : 'ERR||ORC^1^2|204^unknown key^HL70357|E||||no such order\r'
    socket.write(
      framed(
        `MSH|^~\\&|P|L|M|L|20260310||ACK^O17^ACK|A${this.heard.length}|P|2.5.1\rMSA|${this.reply}|${controlIdOf(text)}\r${error}`,
      ),
    )
  }
}

export function controlIdOf(text: string): string {
  return text.split('|')[9] ?? ''
}
