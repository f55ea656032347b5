import { createServer, connect as dial, type Server, type Socket } from 'node:net'

/**
 * The network between tablets and servers: passes bytes to the first server that takes the call, as a proxy in front
 * of several does, and can be cut: every line breaks, in the middle of whatever it carried.
 */
export class Relay {
  readonly #server: Server
  readonly #lines = new Set<Socket>()
  #ports: readonly number[] = []
  #isCut = false

  private constructor() {
    this.#server = createServer((socket) => this.#pass(socket))
  }

  static async open(): Promise<Relay> {
    const relay = new Relay()
    await new Promise<void>((resolve) => relay.#server.listen(0, '127.0.0.1', resolve))
    return relay
  }

  get port(): number {
    const address = this.#server.address()
    return typeof address === 'object' && address ? address.port : 0
  }

  /** The servers behind it, in the order in which they are tried. */
  leadTo(ports: readonly number[]): void {
    this.#ports = ports
  }

  cut(): void {
    this.#isCut = true
    for (const line of this.#lines) line.destroy()
  }

  mend(): void {
    this.#isCut = false
  }

  async close(): Promise<void> {
    this.cut()
    await new Promise((resolve) => this.#server.close(resolve))
  }

  #pass(from: Socket, at = 0): void {
    from.on('error', () => from.destroy())
    const port = this.#ports[at]
    if (this.#isCut || port === undefined || from.destroyed) {
      from.destroy()
      return
    }
    const to = dial({ port, host: '127.0.0.1' })
    let through = false
    to.once('connect', () => {
      through = true
      for (const line of [from, to]) {
        this.#lines.add(line)
        line.once('close', () => {
          this.#lines.delete(line)
          from.destroy()
          to.destroy()
        })
      }
      from.pipe(to)
      to.pipe(from)
    })
    to.on('error', () => {
      to.destroy()
      if (through) from.destroy()
      else this.#pass(from, at + 1)
    })
  }
}
