import fc from 'fast-check'

const SHIFT_MINUTES = 120
const DROP = [10_000, 3000, 1000, 300]

/** Random small shifts in the published planning format: two units and a base, up to two therapists and six visits. */
export const smallShift = fc
  .record({
    therapists: fc.array(
      fc.record({ start: fc.integer({ min: 0, max: 30 }), skilled: fc.boolean(), rests: fc.boolean() }),
      { minLength: 1, maxLength: 2 },
    ),
    patients: fc.array(
      fc.record({
        unit: fc.constantFrom('A', 'B'),
        isolation: fc.constantFrom('protective', 'none', 'droplet', 'contact', 'airborne'),
        minGap: fc.integer({ min: 0, max: 60 }),
      }),
      { minLength: 1, maxLength: 4 },
    ),
    visits: fc.array(
      fc.record({
        patient: fc.nat({ max: 3 }),
        priority: fc.integer({ min: 1, max: 4 }),
        skilled: fc.boolean(),
        earliest: fc.integer({ min: 0, max: 90 }),
        width: fc.integer({ min: 0, max: 40 }),
        grace: fc.integer({ min: 0, max: 30 }),
        duration: fc.integer({ min: 1, max: 30 }),
      }),
      { maxLength: 6 },
    ),
    far: fc.integer({ min: 1, max: 9 }),
  })
  .map(({ therapists, patients, visits, far }) => ({
    name: 'random small shift',
    format: 'hospital-shift-1',
    clockStart: '07:00',
    horizon: SHIFT_MINUTES,
    units: [
      { id: 'BASE', floor: 0 },
      { id: 'A', floor: 1 },
      { id: 'B', floor: 2 },
    ],
    travel: [
      [0, far, far],
      [far, 0, 1],
      [far, 1, 0],
    ],
    roomChange: 1,
    therapists: therapists.map(({ start, skilled, rests }, k) => ({
      id: `T${k}`,
      start: { unit: 'BASE', time: start },
      end: { unit: 'BASE', time: SHIFT_MINUTES },
      break: rests ? { unit: 'BASE', duration: 15, earliest: 40, latest: 80 } : null,
      skills: skilled ? ['airway'] : [],
    })),
    patients: patients.map((patient, p) => ({ id: `P${p}`, ...patient })),
    visits: visits.map(({ patient, priority, skilled, earliest, width, grace, duration }, v) => ({
      id: `V${v}`,
      patient: `P${patient % patients.length}`,
      kind: 'nebulizer',
      priority,
      skill: skilled ? 'airway' : null,
      due: earliest,
      earliest,
      onTimeUntil: earliest + width,
      latest: earliest + width + grace,
      duration,
    })),
    weights: {
      drop: DROP,
      latePerMinute: [40, 15, 5, 2],
      isolation: [
        [0, 0, 0, 0],
        [5, 0, 0, 0],
        [60, 5, 0, 0],
        [80, 10, 5, 0],
      ],
      handover: 40,
      walk: 1,
      maxLoad: 1,
      reassign: 25,
      postponePerMinute: 1,
      promiseTolerance: 10,
    },
    previousPlan: null,
    events: [],
  }))
