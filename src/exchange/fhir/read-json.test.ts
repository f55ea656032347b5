import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { readJson } from './read-json.ts'

describe('reading JSON', () => {
  it('gives what was written, whatever it is', () => {
    fc.assert(
      fc.property(fc.jsonValue({ maxDepth: 6 }), fc.constantFrom(0, 2), (value, indent) => {
        const text = JSON.stringify(value, null, indent)
        expect(readJson(text)).toEqual({ ok: true, value: JSON.parse(text) })
      }),
    )
  })

  it('takes and refuses damaged texts as the platform does, but for names that stand twice', () => {
    const sample = '{"a":[1,-2.5e3,"x\\u00e9\\n",true,null],"b":{"c":"","d":{}}}'
    fc.assert(
      fc.property(
        fc.nat(sample.length),
        fc.constantFrom(
          '',
          '"',
          ',',
          ':',
          '{',
          '}',
          '[',
          ']',
          '0',
          '-',
          '.',
          'e',
          '\\',
          ' ',
          '\n',
          '\u0001',
          'tru',
        ),
        fc.boolean(),
        (at, put, isInstead) => {
          const text = sample.slice(0, at) + put + sample.slice(at + (isInstead ? 1 : 0))
          const ours = readJson(text)
          let theirs: unknown
          try {
            theirs = JSON.parse(text)
          } catch {
            expect(ours.ok).toBe(false)
            return
          }
          const twice = !ours.ok && ours.what.includes('twice')
          if (!twice) expect(ours).toEqual({ ok: true, value: theirs })
        },
      ),
      { numRuns: 2000 },
    )
  })

  it.each([
    ['{"status":"active","status":"stopped"}', 'line 1: the name "status" stands twice'],
    ['{"a":{"b":1,\n"b":2}}', 'line 2: the name "b" stands twice'],
    ['[1] x', 'behind its end'],
    [`${'['.repeat(100)}${']'.repeat(100)}`, 'nested more than 60 deep'],
    ['', 'a value is missing'],
  ])('refuses %s', (text, why) => {
    const read = readJson(text)
    expect(read.ok ? '' : read.what).toContain(why)
  })

  it('takes a name that would reach into the program as a name like any other', () => {
    const read = readJson('{"__proto__":{"role":"administrator"}}')
    const value = read.ok ? (read.value as Record<string, unknown>) : {}
    expect(Object.keys(value)).toEqual(['__proto__'])
    expect(value.role).toBeUndefined()
  })
})
