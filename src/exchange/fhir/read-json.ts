/** Deeper than any resource: a text nested further is not read. */
const DEEPEST = 60
const NUMBER = /-?(0|[1-9]\d*)(\.\d+)?([eE][+-]?\d+)?/y
const BLANK = /[ \t\r\n]*/y
const PLAIN = /[\u0020\u0021\u0023-\u005b\u005d-\uffff]*/y

export type JsonReading =
  | { readonly ok: true; readonly value: unknown }
  | { readonly ok: false; readonly what: string }

/**
 * Reads JSON as RFC 8259 has it, and refuses what a reader would have to guess at: a name that stands twice in one
 * object (which of the two doses is meant?), and nesting without end. Never throws.
 */
export function readJson(text: string): JsonReading {
  try {
    const reader = new Reader(text)
    const value = reader.value(0)
    reader.end()
    return { ok: true, value }
  } catch (error) {
    if (error instanceof NotJson) return { ok: false, what: error.message }
    throw error
  }
}

class NotJson extends Error {}

class Reader {
  readonly #text: string
  #at = 0
  constructor(text: string) {
    this.#text = text
  }

  value(depth: number): unknown {
    if (depth > DEEPEST) throw this.#not(`it is nested more than ${DEEPEST} deep`)
    this.#take(BLANK)
    switch (this.#text[this.#at]) {
      case '{':
        return this.#object(depth)
      case '[':
        return this.#list(depth)
      case '"':
        return this.#string()
      case 't':
        return this.#word('true', true)
      case 'f':
        return this.#word('false', false)
      case 'n':
        return this.#word('null', null)
      default:
        return this.#number()
    }
  }

  end(): void {
    this.#take(BLANK)
    if (this.#at < this.#text.length) throw this.#not('something stands behind its end')
  }

  #object(depth: number): Record<string, unknown> {
    const found: Record<string, unknown> = {}
    this.#each('}', () => {
      this.#take(BLANK)
      if (this.#text[this.#at] !== '"') throw this.#not('a name in double quotes is missing')
      const name = this.#string()
      if (Object.hasOwn(found, name))
        throw this.#not(`the name ${JSON.stringify(name.slice(0, 60))} stands twice in one object`)
      this.#take(BLANK)
      if (this.#text[this.#at] !== ':') throw this.#not('a colon is missing')
      this.#at += 1
      // Defined, not assigned: a name such as __proto__ is a name like any other.
      const value = this.value(depth + 1)
      Object.defineProperty(found, name, { value, enumerable: true, writable: true, configurable: true })
    })
    return found
  }

  #list(depth: number): unknown[] {
    const found: unknown[] = []
    this.#each(']', () => found.push(this.value(depth + 1)))
    return found
  }

  #each(close: string, one: () => void): void {
    this.#at += 1
    this.#take(BLANK)
    if (this.#text[this.#at] === close) {
      this.#at += 1
      return
    }
    while (true) {
      one()
      this.#take(BLANK)
      const sign = this.#text[this.#at]
      if (sign !== ',' && sign !== close) throw this.#not(`a comma or ${close} is missing`)
      this.#at += 1
      if (sign === close) return
    }
  }

  #string(): string {
    const from = this.#at
    this.#at += 1
    while (true) {
      this.#take(PLAIN)
      const sign = this.#text[this.#at]
      if (sign === '"') break
      if (sign !== '\\') throw this.#not('a text does not end, or a control character stands in it')
      this.#at += 2
    }
    this.#at += 1
    const written = this.#text.slice(from, this.#at)
    if (!written.includes('\\')) return written.slice(1, -1)
    try {
      return JSON.parse(written) as string
    } catch {
      throw this.#not('a backslash is followed by nothing that is known')
    }
  }

  #number(): number {
    const written = this.#take(NUMBER)
    if (written === '') throw this.#not('a value is missing')
    return Number(written)
  }

  #word<T>(word: string, value: T): T {
    if (!this.#text.startsWith(word, this.#at)) throw this.#not('a value is missing')
    this.#at += word.length
    return value
  }

  #take(pattern: RegExp): string {
    pattern.lastIndex = this.#at
    const found = pattern.exec(this.#text)?.[0] ?? ''
    this.#at += found.length
    return found
  }

  #not(why: string): NotJson {
    const line = this.#text.slice(0, this.#at).split('\n').length
    return new NotJson(`it is not JSON as it must be: line ${line}: ${why}`)
  }
}
