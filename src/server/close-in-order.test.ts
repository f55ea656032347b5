import { once } from 'node:events'
import { connect } from 'node:net'
import Fastify, { type FastifyInstance } from 'fastify'
import { beforeEach, expect, it } from 'vitest'
import { closeInOrder } from './close-in-order.ts'

let app: FastifyInstance
let port: number
/** Lets the request under way be answered. */
let answer: (said: string) => void
let asked: Promise<void>
beforeEach(async () => {
  app = Fastify()
  closeInOrder(app, 300)
  asked = new Promise((begun) => {
    app.get('/slow', () => {
      begun()
      return new Promise((resolve) => {
        answer = resolve
      })
    })
  })
  app.get('/quick', async () => 'done')
  await app.listen({ host: '127.0.0.1', port: 0 })
  const address = app.server.address()
  port = typeof address === 'object' && address ? address.port : 0
})

/** A connection that reads all it is told; what is asked on it keeps it open. */
async function line(path?: string) {
  const socket = connect(port, '127.0.0.1')
  let said = ''
  socket.on('data', (chunk) => {
    said += chunk
  })
  socket.on('error', () => {})
  await once(socket, 'connect')
  if (path !== undefined) socket.write(`GET ${path} HTTP/1.1\r\nhost: here\r\n\r\n`)
  return { ended: once(socket, 'close').then(() => said), data: () => once(socket, 'data') }
}

it('ends what is idle or was never used at once, and what is under way once it is answered', async () => {
  const [unused, idle, slow] = [await line(), await line('/quick'), await line('/slow')]
  await idle.data()
  await asked
  const closed = app.close()
  expect(await unused.ended).toBe('')
  expect(await idle.ended).toContain('done')
  answer('answered after all')
  expect(await slow.ended).toContain('answered after all')
  await closed
})

it('waits for no request for ever', async () => {
  const slow = await line('/slow')
  await asked
  const closed = app.close()
  expect(await slow.ended).toBe('')
  answer('too late')
  await closed
})
