import { describe, expect, it } from 'vitest'
import { TestWriter } from '../../../test/support/facts.ts'
import { defaultFormulary, defaultFormularyDocument } from '../../clinical/medicine/index.ts'
import { Chart } from '../folds/chart.ts'
import { readDocument } from './documents.ts'
import { formularyInForce } from './formulary-in-force.ts'

const own = { ...defaultFormularyDocument(), version: 'larkmere-1' }
const upsideDown = {
  ...own,
  medicines: own.medicines.map((medicine) => ({
    ...medicine,
    doses: medicine.doses.map((dose) =>
      dose.amount ? { ...dose, amount: { ...dose.amount, low: dose.amount.high * 2 } } : dose,
    ),
  })),
}

function adopted(content: unknown, at: string): Chart {
  const writer = new TestWriter(at, 1, { personId: 'lead', role: 'lead' })
  const body = { edition: '2026-1', content, approvedBy: 'Medical director', note: '' }
  return new Chart().add([writer.write('document-adopted', { document: 'formulary' }, body)])
}
const versionAt = (chart: Chart, at: string) => formularyInForce(chart, at).version

describe('the formulary in force', () => {
  it('is the program’s own until the department adopts one, and that one from then on', () => {
    const chart = adopted(own, '2026-03-10T12:00:00.000Z')
    expect(formularyInForce(new Chart(), '2026-03-10T12:00:00.000Z')).toBe(defaultFormulary())
    expect(versionAt(chart, '2026-03-10T11:59:59.999Z')).toBe(defaultFormulary().version)
    expect(versionAt(chart, '2026-03-10T12:00:00.000Z')).toBe('larkmere-1')
  })
  it('keeps its look-ups, and the program’s own rules keep their sources', () => {
    const sources = own.sources.filter(({ key }) => key !== 'order-rules')
    const formulary = formularyInForce(
      adopted({ ...own, sources }, '2026-03-10T12:00:00.000Z'),
      '2026-03-11T00:00:00.000Z',
    )
    expect(formulary.named('salbutamol')?.id).toBe('albuterol')
    expect(formulary.sources({ status: 'design rule', sources: ['order-rules'] })).toHaveLength(1)
  })
  it('stays the one before when an adoption cannot be used', () => {
    const chart = adopted(upsideDown, '2026-03-10T12:00:00.000Z')
    expect(versionAt(chart, '2026-03-11T00:00:00.000Z')).toBe(defaultFormulary().version)
  })
})

describe('a formulary as a document', () => {
  it('is refused by place and reason: by its schema, and by what a schema cannot say', () => {
    const bySchema = readDocument('formulary', { ...own, version: '' })
    expect(bySchema).toMatchObject({ ok: false, problems: [{ where: 'version' }] })
    const read = readDocument('formulary', upsideDown)
    expect(read.ok ? [] : read.problems).toContainEqual({
      where: 'medicines.albuterol',
      what: expect.stringContaining('a range is upside down'),
    })
  })
})
