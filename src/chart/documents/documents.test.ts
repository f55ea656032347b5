import { describe, expect, it } from 'vitest'
import { checkedTogether } from './checked-together.ts'
import { DOCUMENTS, type DocumentName, isDocumentName, readDocument } from './documents.ts'
import { documentsInForce } from './documents-in-force.ts'

const NAMES = Object.keys(DOCUMENTS) as DocumentName[]

describe('every document', () => {
  it('is there', () => {
    expect(NAMES).toHaveLength(11)
    expect(NAMES.map((name) => DOCUMENTS[name].name)).toEqual(NAMES)
  })
  it.each(NAMES)('%s comes with defaults that pass its own checks', (name) => {
    expect(readDocument(name, DOCUMENTS[name].defaults)).toEqual({
      ok: true,
      content: DOCUMENTS[name].defaults,
    })
  })
  it.each(NAMES)(
    '%s refuses a field that it does not know, a missing one, and what is no document',
    (name) => {
      const { sources, ...without } = DOCUMENTS[name].defaults
      for (const given of [{ ...without, sources, extra: 1 }, without, null, [], 'text'])
        expect(readDocument(name, given).ok).toBe(false)
    },
  )
  it.each(NAMES)('%s refuses a source that is named and not listed', (name) => {
    const given = { ...DOCUMENTS[name].defaults, sources: [{ key: 'x', cite: 'x', standing: 'from memory' }] }
    const read = readDocument(name, given)
    expect(read.ok ? [] : read.problems.map(({ what }) => what).join()).toContain('does not list')
  })
  it('is known by its own name only', () => {
    expect(isDocumentName('windows')).toBe(true)
    expect(isDocumentName('toString')).toBe(false)
  })
})

type Changed = [about: string, name: DocumentName, change: (content: never) => unknown, problem: RegExp]
const { site, units, cups, equipment, windows, isolation } = DOCUMENTS
const map = DOCUMENTS['hospital-map'].defaults
const policy = DOCUMENTS['planning-policy'].defaults
const times = DOCUMENTS['standard-times'].defaults
const codes = DOCUMENTS['medicine-codes'].defaults
const [firstProduct, ...otherProducts] = codes.products

/** What no schema says. Each change breaks one thing. */
const CHANGES: Changed[] = [
  ['a zone nobody knows', 'site', () => ({ ...site.defaults, timeZone: 'Mars/Olympus' }), /IANA/],
  [
    'night before day',
    'site',
    () => ({ ...site.defaults, shifts: { dayFrom: '19:00', nightFrom: '07:00' } }),
    /earlier/,
  ],
  [
    'several at once without conditions',
    'site',
    () => ({ ...site.defaults, severalAtOnce: { maximumRunning: 2, conditions: [], source: 'several' } }),
    /conditions/,
  ],
  [
    'a separator that lots may hold',
    'site',
    () => ({ ...site.defaults, scannerSeparatorSubstitute: '-' }),
    /lot or serial/,
  ],
  ['a table that is not there', 'standard-times', () => ({ ...times, inUse: 'weekend' }), /weekend/],
  [
    'three times for QID',
    'standard-times',
    () => ({
      ...times,
      tables: [
        {
          name: 'respiratory',
          rows: [{ code: 'QID', times: ['07:00', '11:00', '15:00'] }],
          source: 'common',
        },
      ],
      thenLookIn: [],
    }),
    /QID means 4 times a day; 3/,
  ],
  [
    'five times for Q4H',
    'standard-times',
    () => ({
      ...times,
      tables: [
        {
          name: 'respiratory',
          rows: [{ code: 'Q4H', times: ['03:00', '07:00', '11:00', '15:00', '19:00'] }],
          source: 'common',
        },
      ],
      thenLookIn: [],
    }),
    /Q4H means 6/,
  ],
  [
    'a gap set twice',
    'windows',
    () => ({
      ...windows.defaults,
      minimumGaps: [...windows.defaults.minimumGaps, { code: 'Q4H', minutes: 200, source: 'gap' }],
    }),
    /Q4H stands there more than once/,
  ],
  [
    'something worn that never comes off',
    'isolation',
    () => ({ ...isolation.defaults, sequence: { ...isolation.defaults.sequence, takeOff: ['gown'] } }),
    /gloves is not in the order of taking off/,
  ],
  [
    'no category for everybody',
    'isolation',
    () => ({ ...isolation.defaults, always: 'ALL' }),
    /ALL is not one of the categories/,
  ],
  [
    'a spoiled check digit',
    'medicine-codes',
    () => ({ ...codes, products: [{ ...firstProduct, gtins: ['09501101530004'] }, ...otherProducts] }),
    /09501101530004 fails its check digit/,
  ],
  [
    'a code with two meanings',
    'medicine-codes',
    () => ({ ...codes, codes: [...codes.codes, ...codes.codes.slice(0, 1)] }),
    /MED0101 stands/,
  ],
  [
    'a jet cup without flow',
    'cups',
    () => ({ ...cups.defaults, cups: cups.defaults.cups.map((cup) => ({ ...cup, ratedFlowLPerMin: null })) }),
    /a jet cup runs on gas/,
  ],
  [
    'a unit that nobody can reach',
    'hospital-map',
    () => ({ ...map, corridors: map.corridors.filter(({ between }) => !between.includes('ed')) }),
    /no way leads from RESP to ED/,
  ],
  [
    'rooms that nobody can reach',
    'hospital-map',
    () => ({ ...map, corridors: map.corridors.filter(({ between }) => !between.includes('4west-far')) }),
    /no way leads from RESP to 4WEST 14, 15, 16, 17/,
  ],
  [
    'a corridor through the ceiling',
    'hospital-map',
    () => ({ ...map, corridors: [...map.corridors, { between: ['ed', 'micu'], seconds: 5 }] }),
    /ed and micu are on two floors/,
  ],
  [
    'a way to nowhere',
    'hospital-map',
    () => ({ ...map, corridors: [...map.corridors, { between: ['ed', 'cellar'], seconds: 5 }] }),
    /cellar is not one of the places/,
  ],
  [
    'a lift that stops twice on a floor',
    'hospital-map',
    () => ({ ...map, lifts: map.lifts.map((lift) => ({ ...lift, stops: [...lift.stops, 'ed'] })) }),
    /Main lifts stops more than once on one floor/,
  ],
  [
    'a place beside its plan',
    'hospital-map',
    () => ({
      ...map,
      places: map.places.map((place) => ({ ...place, x: place.id === 'ed' ? 101 : place.x })),
    }),
    /ed lies outside the plan of First floor/,
  ],
  [
    'a unit entered at two places',
    'hospital-map',
    () => ({
      ...map,
      places: map.places.map((place) => ({ ...place, unit: place.unit === 'ED' ? 'RESP' : place.unit })),
    }),
    /RESP stands there more than once/,
  ],
  [
    'a stat dose that weighs less than a daily one',
    'planning-policy',
    () => ({ ...policy, weights: { ...policy.weights, leftOut: { '1': 1, '2': 2, '3': 3, '4': 4 } } }),
    /less urgent visit weighs more/,
  ],
  [
    'ranks in another order',
    'planning-policy',
    () => {
      const { isolationOrder } = policy.weights
      const ranks = [...isolationOrder.ranks].reverse()
      return { ...policy, weights: { ...policy.weights, isolationOrder: { ...isolationOrder, ranks } } }
    },
    /must stand as protective, none/,
  ],
  [
    'a break that ends before it begins',
    'planning-policy',
    () => ({ ...policy, break: { ...policy.break, earliestAfterMinutes: 400 } }),
    /earliest beginning lies after its latest/,
  ],
  [
    'a base that is no unit',
    'units',
    () => ({ ...units.defaults, base: 'ROOF' }),
    /ROOF is not one of the units/,
  ],
  [
    'a cylinder that is all reserve',
    'equipment',
    () => ({
      ...equipment.defaults,
      cylinders: equipment.defaults.cylinders.map((each) => ({ ...each, reservePsi: 1000, fullPsi: 900 })),
    }),
    /reserve is as large/,
  ],
]

describe('what a schema cannot say', () => {
  it.each(CHANGES)('%s in %s is refused by name', (_, name, change, problem) => {
    const read = readDocument(name, change(undefined as never))
    expect(read.ok ? [] : read.problems.map(({ what }) => what)).toEqual(
      expect.arrayContaining([expect.stringMatching(problem)]),
    )
  })
})

describe('documents together', () => {
  const inForce = documentsInForce([], '2026-03-10T12:00:00.000Z').documents

  it('fit each other as they come', () => {
    expect(checkedTogether(inForce)).toEqual([])
  })
  it('name the medicine that the formulary lacks', () => {
    const { content } = inForce.formulary
    const medicines = content.medicines.filter(({ id }) => id !== 'albuterol')
    const formulary = { content: { ...content, medicines }, adopted: null }
    const problems = checkedTogether({ ...inForce, formulary })
    expect(new Set(problems.map(({ what }) => what))).toEqual(new Set(['albuterol is not in the formulary']))
  })
  it('name the unit that is not on the map, and the floor on which they disagree', () => {
    const content = {
      ...units.defaults,
      units: [
        ...units.defaults.units.map((unit) => ({ ...unit, floor: unit.id === 'ED' ? 3 : unit.floor })),
        { id: 'BURN', name: 'Burns', floor: 2, skillsNeeded: [], minutesBetweenRooms: 1 },
      ],
    }
    const problems = checkedTogether({ ...inForce, units: { content, adopted: null } })
    expect(problems.map(({ what }) => what)).toEqual([
      'BURN is not on the map',
      'ED is on floor 1 here and on floor 3 in the list of units',
    ])
  })
  it('name the category that the isolation document lacks', () => {
    const content = {
      ...site.defaults,
      nebulizingIsAerosolGenerating: {
        byCategory: [{ category: 'XYZ', counts: true }],
        source: 'generating',
      },
    }
    const problems = checkedTogether({ ...inForce, site: { content, adopted: null } })
    expect(problems).toEqual([
      { where: 'site.nebulizingIsAerosolGenerating', what: 'XYZ is not an isolation category' },
    ])
  })
})
