import fastifyStatic from '@fastify/static'
import type { FastifyInstance } from 'fastify'
import { notThere } from './problem.ts'

/** The built app: hashed files for good, the page and its worker always asked for anew; unknown pages get the app. */
export async function serveApp(app: FastifyInstance, folder: string | null): Promise<void> {
  if (folder !== null) {
    await app.register(fastifyStatic, {
      root: folder,
      wildcard: false,
      cacheControl: false,
      setHeaders: (reply, path) => {
        const forGood = /[/\\]assets[/\\]/.test(path)
        reply.setHeader('cache-control', forGood ? 'public, max-age=31536000, immutable' : 'no-cache')
      },
    })
  }
  app.setNotFoundHandler((request, reply) => {
    const isPage =
      request.method === 'GET' &&
      !request.url.startsWith('/api/') &&
      !/\.[a-z0-9]+$/i.test(request.url.split('?')[0] ?? '')
    if (folder !== null && isPage) return reply.sendFile('index.html')
    const problem = notThere('There is nothing at this address.')
    return reply.code(problem.status).send(problem.body(request.id))
  })
}
