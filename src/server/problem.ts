import type { ApiError } from '../api/schemas.ts'

/** An answer that says no: what happened, what was kept, what to do. Thrown by routes, told by the error handler. */
export class Problem extends Error {
  readonly status: number
  readonly code: string
  readonly kept: string
  readonly todo: string
  readonly fields: readonly { where: string; what: string }[]
  constructor(
    status: number,
    code: string,
    said: { what: string; kept?: string; todo: string; fields?: readonly { where: string; what: string }[] },
  ) {
    super(said.what)
    this.status = status
    this.code = code
    this.kept = said.kept ?? 'Nothing was changed.'
    this.todo = said.todo
    this.fields = said.fields ?? []
  }

  body(requestId: string): ApiError {
    const { code, message: what, kept, todo, fields } = this
    return { error: { code, what, kept, todo, requestId, ...(fields.length > 0 && { fields: [...fields] }) } }
  }
}

export const notSignedIn = () =>
  new Problem(401, 'not-signed-in', {
    what: 'Nobody is signed in, or the session has ended.',
    kept: 'What the tablet wrote stays on it.',
    todo: 'Sign in again.',
  })
export const isLocked = () =>
  new Problem(423, 'locked', {
    what: 'The screen is locked.',
    kept: 'What was open stays open.',
    todo: 'Unlock with your PIN or password.',
  })
export const anotherLine = () =>
  new Problem(409, 'another-line', {
    what: 'This tablet knows entries that the record does not hold: it was brought back from an older copy.',
    kept: 'What the tablet holds stays on it.',
    todo: 'The app takes the record down anew and sends its own entries again.',
  })
export const notAllowed = (what: string) =>
  new Problem(403, 'not-allowed', { what, todo: 'Ask somebody whose role may do this.' })
export const notThere = (what: string) =>
  new Problem(404, 'not-there', { what, todo: 'Look again from the list.' })
