import type { Socket } from 'node:net'
import type { FastifyInstance } from 'fastify'

/** How long requests under way may take to be answered once the server closes [ms]. Design rule. */
const LAST_ANSWERS_MS = 10_000

/**
 * Lets a server close within seconds: what has begun is answered, then its connection ends; connections that carry nothing,
 * kept open for a next request or never used, end at once. Left to themselves they would hold it open for over a minute.
 */
export function closeInOrder(app: FastifyInstance, lastAnswersMs = LAST_ANSWERS_MS): void {
  /** Every connection, with how many requests it carries. */
  const carried = new Map<Socket, number>()
  let isClosing = false
  const change = (socket: Socket, by: number) => {
    const count = (carried.get(socket) ?? 0) + by
    if (!socket.destroyed) carried.set(socket, count)
    if (isClosing && count === 0) socket.destroySoon()
  }
  app.server.on('connection', (socket: Socket) => {
    socket.once('close', () => carried.delete(socket))
    change(socket, 0)
  })
  app.server.on('request', ({ socket }, response) => {
    change(socket, 1)
    response.once('close', () => change(socket, -1))
  })
  app.addHook('preClose', async () => {
    isClosing = true
    for (const [socket, count] of carried) if (count === 0) socket.destroySoon()
    const late = setTimeout(() => {
      for (const socket of carried.keys()) socket.destroy()
    }, lastAnswersMs)
    app.server.once('close', () => clearTimeout(late))
  })
}
