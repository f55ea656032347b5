import type { FastifyReply, FastifyRequest } from 'fastify'
import { OURS } from '../../exchange/fhir/codes.ts'
import type { FhirProblem } from '../../exchange/fhir/problem.ts'
import type { OperationOutcome } from '../../exchange/fhir/resources.ts'
import { faultOf, problemOf } from '../errors.ts'
import { Problem } from '../problem.ts'

const TYPE = 'application/fhir+json; charset=utf-8'
const ACCEPTED = ['application/fhir+json', 'application/json', 'application/*', '*/*', 'text/html']
const FORMATS = ['json', 'application/json', 'application/fhir+json', 'application/fhir json']

/** HL7 FHIR R4 4.0.1, value set issue-type: the kinds of refusal that a status means. */
const ISSUE_OF: Readonly<Record<number, string>> = {
  400: 'invalid',
  401: 'login',
  403: 'forbidden',
  404: 'not-found',
  405: 'not-supported',
  406: 'not-supported',
  413: 'too-long',
  415: 'not-supported',
  422: 'processing',
  423: 'login',
  429: 'throttled',
  503: 'transient',
}

export function sendFhir(reply: FastifyReply, resource: object, status = 200): FastifyReply {
  return reply.code(status).header('content-type', TYPE).send(JSON.stringify(resource))
}

/** Every error of these routes is an OperationOutcome; what went wrong inside stays in the log. */
export function tellFhirError(error: unknown, request: FastifyRequest, reply: FastifyReply): FastifyReply {
  const problem = problemOf(error)
  if (problem.status >= 500) request.log.error(faultOf(error), 'fault')
  return sendFhir(reply, outcomeOfProblem(problem, request.id), problem.status)
}

function outcomeOfProblem(problem: Problem, requestId: string): OperationOutcome {
  const { status, code, message, kept, todo, fields } = problem
  return {
    resourceType: 'OperationOutcome',
    issue: [
      {
        severity: status >= 500 ? 'fatal' : 'error',
        code: ISSUE_OF[status] ?? (status >= 500 ? 'exception' : 'processing'),
        details: { coding: [{ system: OURS.error, code }], text: `${message} ${kept} ${todo}` },
        diagnostics: `request ${requestId}`,
      },
      ...fields.map(({ where, what }) => ({
        severity: 'error' as const,
        code: 'invalid',
        details: { text: `${where}: ${what}` },
      })),
    ],
  }
}

/** A search or a body that cannot be used, field by field. */
export function notUsable(status: number, problems: readonly FhirProblem[]): Problem {
  return new Problem(status, 'not-valid', {
    what: 'The request is not as it must be.',
    todo: 'Mend what is named and ask again.',
    fields: problems.map(({ where, what }) => ({ where: where || '(whole)', what })),
  })
}

export const noSuchType = () =>
  new Problem(404, 'not-there', {
    what: 'Resources of this type are not told here.',
    todo: 'See /fhir/metadata for those that are.',
  })

/** Answers are JSON. @throws Problem 406 for whoever takes only something else, or another version of FHIR */
export function requireJson(request: FastifyRequest, format: string | null): void {
  const accept = request.headers.accept ?? '*/*'
  const wanted = accept.split(',').map((each) => each.split(';').map((part) => part.trim().toLowerCase()))
  const fits = wanted.some(
    ([type = '', ...parts]) =>
      ACCEPTED.includes(type) &&
      !parts.some((part) => /^fhirversion=/.test(part) && !/^fhirversion="?4\.0/.test(part)),
  )
  if (fits && (format === null || FORMATS.includes(format.toLowerCase()))) return
  throw new Problem(406, 'only-json', {
    what: 'Answers are given as FHIR R4 in JSON.',
    todo: 'Ask for application/fhir+json.',
  })
}

/** @throws Problem 415 for a body of another kind */
export function requireContentType(request: FastifyRequest, allowed: readonly string[]): void {
  const type = request.headers['content-type']?.split(';')[0]?.trim().toLowerCase()
  if (type !== undefined && allowed.includes(type)) return
  throw new Problem(415, 'not-this-type', {
    what: 'The body is of a kind that is not taken here.',
    todo: `Send ${allowed.join(' or ')}.`,
  })
}
