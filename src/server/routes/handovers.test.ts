import { inflateSync } from 'node:zlib'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { refusal, type TestServer, testServer } from '../../../test/support/test-server.ts'

let server: TestServer
beforeAll(async () => {
  server = await testServer({ staff: ['amsel'] })
})
afterAll(() => server.close())

it('a handover can be printed by who may read the chart, and the printing is noted', async () => {
  const cookie = await server.signIn('amsel')
  const written = server.writer('amsel').write(
    'handover-written',
    { handoverId: 'handover-1' },
    {
      units: ['4WEST'],
      from: '2026-03-10T11:00:00.000Z',
      to: '2026-03-10T23:00:00.000Z',
      text: Array.from(
        { length: 60 },
        (_, at) => `412-${at}\nTwo treatments given.\nNext due at 20:00.`,
      ).join('\n\n'),
      printedName: 'Romy Amsel, RRT',
    },
  )
  await server.post('/api/facts', cookie, { sentAt: written.recordedAt, facts: [written] })
  const reply = await server.get('/api/handovers/handover-1.pdf', cookie)
  expect(reply.headers['content-type']).toBe('application/pdf')
  const pdf = reply.rawPayload
  expect(pdf.subarray(0, 5).toString()).toBe('%PDF-')
  const text = pdf.toString('latin1')
  // 60 paragraphs do not fit one page; fonts are inside, so that it prints alike everywhere.
  expect(text.match(/\/Type \/Page\b/g)?.length).toBeGreaterThan(2)
  expect(text).toMatch(/\/FontFile2/)
  expect(glyphsShown(pdf)).toBeGreaterThan(60 * 30)
  const [note] = (await server.ledger.accessAfter('larkmere', 0, 100)).slice(-1)
  expect(note).toMatchObject({ person_id: 'amsel', what: 'print handover', about: 'handover-1' })
})

/** How many signs the pages show: text stands as hexadecimal glyph numbers, four digits each, in the page streams. */
function glyphsShown(pdf: Buffer): number {
  let shown = 0
  let at = pdf.indexOf('stream\n')
  while (at >= 0) {
    const end = pdf.indexOf('endstream', at)
    try {
      const content = inflateSync(pdf.subarray(at + 7, end)).toString('latin1')
      if (content.includes('BT'))
        for (const [, hex = ''] of content.matchAll(/<([0-9a-f]+)>/g)) shown += hex.length / 4
    } catch {
      // A stream that is not compressed: no page.
    }
    at = pdf.indexOf('stream\n', end + 9)
  }
  return shown
}

it.each([
  ['handover-2.pdf', 404, 'not-there'],
  ['handover-1.exe', 400, 'not-valid'],
  ['..%2f..%2fetc.pdf', 400, 'not-valid'],
])('there is nothing to print at %s', async (file, status, code) => {
  const reply = await server.get(`/api/handovers/${file}`, await server.signIn('amsel'))
  expect(refusal(reply)).toEqual([status, code])
})
