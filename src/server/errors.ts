import type { FastifyError, FastifyInstance, FastifyReply, FastifyRequest } from 'fastify'
import { hasZodFastifySchemaValidationErrors } from 'fastify-type-provider-zod'
import { Problem } from './problem.ts'

/** Every error is told in one shape, whatever threw it; what went wrong inside stays in the log. */
export function tellErrors(app: FastifyInstance): void {
  app.setErrorHandler((error, request, reply) => tellError(error, request, reply))
}

/** Also for what fails before there is a route: an address that cannot be read. */
export function tellError(error: unknown, request: FastifyRequest, reply: FastifyReply): FastifyReply {
  const problem = problemOf(error)
  if (problem.status >= 500) request.log.error(faultOf(error), 'fault')
  return reply.code(problem.status).send(problem.body(request.id))
}

/**
 * What the log is told of a fault: its kind and where it happened. Not its message: a database puts values into it,
 * and values here are patients'.
 */
export function faultOf(error: unknown): { type: string; code?: unknown; at: string[] } {
  if (!(error instanceof Error)) return { type: typeof error, at: [] }
  const frames = (error.stack ?? '').split('\n').filter((line) => /^\s+at /.test(line))
  return {
    type: error.name,
    ...('code' in error && { code: error.code }),
    at: frames.slice(0, 12).map((line) => line.trim()),
  }
}

/** What an error says to whoever asked. */
export function problemOf(error: unknown): Problem {
  if (error instanceof Problem) return error
  if (hasZodFastifySchemaValidationErrors(error)) return notValid(error)
  const status =
    typeof error === 'object' && error !== null && 'statusCode' in error ? Number(error.statusCode) : 500
  return problemOfStatus(status)
}

function notValid({ validation }: Pick<FastifyError, 'validation'>): Problem {
  const fields = (validation ?? []).map(({ instancePath, message }) => ({
    where: instancePath.replace(/^\//, '').replaceAll('/', '.') || '(whole)',
    what: message ?? 'not as it must be',
  }))
  return new Problem(400, 'not-valid', {
    what: 'The request is not as it must be.',
    todo: 'Mend the fields that are named and send it again.',
    fields,
  })
}

function problemOfStatus(status: number): Problem {
  if (status === 413) {
    return new Problem(413, 'too-large', {
      what: 'That is larger than is taken at once.',
      todo: 'Send it in parts.',
    })
  }
  if (status === 429) {
    return new Problem(429, 'too-often', {
      what: 'That was tried too often.',
      todo: 'Wait a few minutes and try again.',
    })
  }
  if (status >= 400 && status < 500) {
    return new Problem(status, 'not-read', {
      what: 'The request could not be read.',
      todo: 'Send JSON as the app does.',
    })
  }
  return new Problem(500, 'fault', {
    what: 'Something went wrong here.',
    kept: 'What was stored before is safe.',
    todo: 'Try again; if it stays so, give the administrator the request id.',
  })
}
