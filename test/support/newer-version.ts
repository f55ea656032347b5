import { createServer, request, type Server } from 'node:http'
import type { AddressInfo } from 'node:net'

/** A door before a server that can be told to give out a newer version of the app. */
export type Publisher = {
  readonly address: string
  /** From now on the app's service worker is another, as after an update of the server. */
  readonly publish: () => void
  readonly close: () => Promise<void>
}

/** Opens the door; everything else passes through as it comes. */
export async function openPublisher(behind: string): Promise<Publisher> {
  let version = 1
  const server: Server = createServer((coming, going) => {
    const isWorker = coming.url === '/sw.js'
    // Asked for unconditionally: that the server's own file did not change must not be told of the newer one.
    const { 'if-none-match': _match, 'if-modified-since': _since, ...asked } = coming.headers
    const ask = request(
      `${behind}${coming.url}`,
      { method: coming.method ?? 'GET', headers: isWorker ? asked : coming.headers },
      (reply) => {
        const {
          'content-length': _length,
          etag: _etag,
          'last-modified': _modified,
          ...headers
        } = reply.headers
        const kept = isWorker ? headers : reply.headers
        going.writeHead(reply.statusCode ?? 502, { ...kept })
        reply.pipe(going, { end: !isWorker })
        if (isWorker) reply.once('end', () => going.end(`\n// version ${version}`))
      },
    )
    ask.once('error', () => going.destroy())
    going.once('close', () => ask.destroy())
    coming.pipe(ask)
  })
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve))
  return {
    address: `http://127.0.0.1:${(server.address() as AddressInfo).port}`,
    publish: () => {
      version += 1
    },
    close: () =>
      new Promise((resolve) => {
        server.close(() => resolve())
        server.closeAllConnections()
      }),
  }
}
