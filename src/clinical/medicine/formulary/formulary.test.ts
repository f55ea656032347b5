import { describe, expect, it } from 'vitest'
import medicines from '../data/formulary.json' with { type: 'json' }
import mixing from '../data/mixing.json' with { type: 'json' }
import rules from '../data/rules.json' with { type: 'json' }
import { sourceLine, standsFirm } from './backing.ts'
import { defaultFormulary, FormularyRefused, loadFormulary } from './formulary.ts'
import { defaultFormularyDocument, type FormularyDocument } from './formulary-document.ts'
import { formularyProblems } from './formulary-problems.ts'

/** The default document with one thing changed, as somebody's slip would. */
function changed(change: (document: FormularyDocument) => void): FormularyDocument {
  const document = structuredClone(defaultFormularyDocument())
  change(document)
  return document
}

const first = <T>(items: readonly T[]): T => {
  const [item] = items
  if (item === undefined) throw new Error('the list is empty')
  return item
}

describe('the formulary that comes along', () => {
  it('holds 28 products, 78 pairs and the 22 rules of the bedside', () => {
    expect(medicines.medicines).toHaveLength(28)
    expect(mixing.pairs).toHaveLength(78)
    const numbered = new Set(rules.rules.map(({ id }) => id.slice(0, 3)))
    expect([...numbered].sort()).toEqual(
      Array.from({ length: 22 }, (_, at) => `R${String(at + 1).padStart(2, '0')}`),
    )
  })
  it('has nothing wrong with it', () => {
    expect(formularyProblems(defaultFormularyDocument())).toEqual([])
  })
  it('is read from plain JSON', () => {
    const again = loadFormulary(JSON.parse(JSON.stringify(defaultFormularyDocument())))
    expect(again.document).toEqual(defaultFormulary().document)
    expect(again.version).toBe(defaultFormularyDocument().version)
  })
  it('gives a source for every group that claims one, and says so where there is none', () => {
    const groups = defaultFormulary().medicines.flatMap((medicine) => [
      medicine.timing,
      medicine.cautions,
      medicine.equipment,
      ...medicine.supply,
      ...medicine.doses,
    ])
    expect(groups.length).toBeGreaterThan(150)
    for (const group of groups) {
      const sources = defaultFormulary().sources(group)
      expect(sources.length).toBeGreaterThan(0)
      if (group.status === 'from memory')
        expect(sources.map(({ standing }) => standing)).toContain('from memory')
    }
  })
})

describe('look-up', () => {
  it('by id', () => {
    expect(defaultFormulary().medicine('ipratropium')?.name).toBe('ipratropium bromide')
    expect(defaultFormulary().medicine('no such')).toBeNull()
  })
  it.each([
    ['salbutamol', 'albuterol'],
    ['Ipratropium Bromide', 'ipratropium'],
    [' racepinephrine ', 'racemic-epinephrine'],
    ['adrenaline', 'epinephrine'],
    ['dornase', 'dornase'],
  ])('%s is %s', (name, id) => {
    expect(defaultFormulary().named(name)?.id).toBe(id)
  })
  it('does not choose where two have the name', () => {
    expect(defaultFormulary().named('hypertonic saline')).toBeNull()
    expect(defaultFormulary().named('saline')).toBeNull()
  })
})

describe('facts that must not slip, against their labels', () => {
  const supply = (id: string, pack: string) =>
    defaultFormulary()
      .medicine(id)
      ?.supply.find((each) => each.id === pack)
  it.each([
    ['albuterol', '0.083', 2.5, 'mg', 3],
    ['albuterol', '0.5-bottle', 100, 'mg', 20],
    ['ipratropium', '0.02', 0.5, 'mg', 2.5],
    ['budesonide', '0.25', 0.25, 'mg', 2],
    ['arformoterol', '15', 15, 'mcg', 2],
    ['racemic-epinephrine', '2.25', 11.25, 'mg', 0.5],
    ['tobramycin', '300-5', 300, 'mg', 5],
    ['tobramycin', '300-4', 300, 'mg', 4],
    ['amikacin-liposomal', '590', 590, 'mg', 8.4],
    ['treprostinil', '1.74', 1.74, 'mg', 2.9],
  ])('%s %s holds %s %s in %s mL', (id, pack, amount, unit, volumeMl) => {
    expect(supply(id, pack)).toMatchObject({ amount, unit, volumeMl })
  })
  it('two epinephrines: 22.5 mg/mL and 1 mg/mL', () => {
    expect(supply('racemic-epinephrine', '2.25')?.perMl).toBe(22.5)
    expect(supply('epinephrine', '1')?.perMl).toBe(1)
  })
})

describe('a document that is not a formulary is refused whole', () => {
  it.each([
    ['an unknown field', (d: FormularyDocument) => Object.assign(d, { extra: 1 }), /extra/],
    [
      'a negative amount',
      (d: FormularyDocument) => Object.assign(first(first(d.medicines).supply), { amount: -1 }),
      /medicines.0.supply.0.amount/,
    ],
    [
      'a misspelt status',
      (d: FormularyDocument) => Object.assign(first(d.medicines).timing, { status: 'sure' }),
      /timing.status/,
    ],
    [
      'an id twice',
      (d: FormularyDocument) => d.medicines.push(first(d.medicines)),
      /albuterol stands there more than once/,
    ],
    [
      'a pair twice, turned round',
      (d: FormularyDocument) =>
        d.mixing.pairs.push({ ...first(d.mixing.pairs), a: 'ipratropium', b: 'albuterol' }),
      /albuterol \+ ipratropium stands there more than once/,
    ],
    [
      'a source that is not listed',
      (d: FormularyDocument) => first(d.medicines).timing.sources.push('NOWHERE'),
      /names the source NOWHERE/,
    ],
    [
      'a claim without a source',
      (d: FormularyDocument) => Object.assign(first(d.medicines).cautions, { sources: [] }),
      /is called mixed and names no source/,
    ],
    [
      'a condition that nobody has',
      (d: FormularyDocument) => Object.assign(first(d.rules), { if: { conditions: ['gout'] } }),
      /the condition gout/,
    ],
    [
      'a medicine that is not there',
      (d: FormularyDocument) => Object.assign(first(d.rules), { for: { medicines: ['snow'] } }),
      /the medicine snow/,
    ],
    [
      'a class that is not there',
      (d: FormularyDocument) => Object.assign(first(d.interactions), { with: ['tea'] }),
      /the class or group tea/,
    ],
    [
      'a range upside down',
      (d: FormularyDocument) =>
        Object.assign(first(first(d.medicines).doses), { amount: { low: 5, high: 2.5, unit: 'mg' } }),
      /upside down/,
    ],
    [
      'a dose without a figure',
      (d: FormularyDocument) => delete first(first(d.medicines).doses).amount,
      /a dose has no figure/,
    ],
    [
      'a strength that does not fit',
      (d: FormularyDocument) => Object.assign(first(first(d.medicines).supply), { perMl: 8.333 }),
      /do not agree: 0.083 % unit dose/,
    ],
    [
      'a maximum in another kind of unit',
      (d: FormularyDocument) =>
        Object.assign(first(first(d.medicines).timing.max24h), { unit: 'million IU' }),
      /the maximum is in million IU/,
    ],
  ])('%s', (_, change, message) => {
    const document = changed((each) => void change(each))
    expect(() => loadFormulary(document)).toThrow(FormularyRefused)
    expect(() => loadFormulary(document)).toThrow(message)
  })
  it('names every problem with its place', () => {
    const document = changed((each) => {
      each.medicines.push(first(each.medicines))
      first(each.medicines).timing.sources.push('NOWHERE')
    })
    let problems: readonly { where: string }[] = []
    try {
      loadFormulary(document)
    } catch (error) {
      if (error instanceof FormularyRefused) problems = error.problems
    }
    expect(problems.map(({ where }) => where)).toContain('medicines.0.timing')
    expect(problems.length).toBeGreaterThan(1)
  })
})

describe('how well a source stands behind a statement', () => {
  it('never better than the statement itself', () => {
    const label = { sources: ['ALB_LABEL'] }
    const standing = (status: Parameters<ReturnType<typeof defaultFormulary>['sources']>[0]['status']) =>
      defaultFormulary()
        .sources({ status, ...label })
        .map((source) => source.standing)
    expect(standing('verified')).toEqual(['verified'])
    expect(standing('mixed')).toEqual(['verified'])
    expect(standing('verified-secondary')).toEqual(['verified-secondary'])
    expect(standing('computed')).toEqual(['computed'])
    expect(standing('weak secondary')).toEqual(['from memory'])
    expect(standing('common practice, no source')).toEqual(['common practice, no source'])
  })
  it('names memory and habit where there is nothing else', () => {
    const bare = (status: 'from memory' | 'common practice, no source') =>
      defaultFormulary().sources({ status, sources: [] })
    expect(bare('from memory').map(sourceLine)).toEqual([
      'Known to the authors and not looked up (from memory)',
    ])
    expect(bare('common practice, no source').map(sourceLine)).toEqual([
      'Rule of thumb (common practice, no source)',
    ])
    expect(standsFirm(bare('from memory'))).toBe(false)
    expect(standsFirm(bare('common practice, no source'))).toBe(false)
    expect(standsFirm(defaultFormulary().sources({ status: 'design rule', sources: ['gap-rule'] }))).toBe(
      true,
    )
    expect(standsFirm([])).toBe(false)
  })
})
