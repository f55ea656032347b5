/** Imports point down only. Each rule says why, so that a failure teaches. */
const below = {
  clinical: [],
  rounds: [],
  chart: ['clinical'],
  exchange: ['clinical', 'chart'],
  practice: ['clinical', 'chart'],
  shift: ['clinical', 'rounds', 'chart'],
  store: ['chart'],
  api: ['clinical', 'rounds', 'chart', 'exchange', 'practice', 'shift'],
  demo: ['clinical', 'rounds', 'chart', 'exchange', 'practice', 'shift'],
  server: ['clinical', 'rounds', 'chart', 'exchange', 'practice', 'shift', 'store', 'api', 'demo'],
  app: ['clinical', 'rounds', 'chart', 'exchange', 'practice', 'shift', 'api'],
  cli: ['clinical', 'rounds', 'chart', 'exchange', 'practice', 'shift', 'store', 'api', 'demo', 'server'],
}

const why = {
  clinical: 'clinical knowledge knows nobody: it must be usable, and testable, alone',
  rounds: 'planning is a pure function of a problem: it must run in a tab, a worker or a queue',
  chart: 'the record knows what the trade knows, never where it is kept or shown',
  exchange: 'translations to outside formats sit on the record, never under a server',
  practice: 'practice patients answer the same acts as the record, without a server',
  shift:
    'from the record to a planning problem and back: pure, so that it runs in a tab, a worker or a server',
  store: 'the ledger keeps facts; it does not know who asks',
  api: 'what server and app agree on must not depend on either',
  demo: 'the invented hospital speaks through the same doors as a real one',
  server: 'the server never reaches into the app or the command line',
  app: 'the app never reaches into the server: they meet in src/api',
  cli: 'the command line knows all but the app',
}

module.exports = {
  forbidden: [
    ...Object.entries(below).map(([room, allowed]) => ({
      name: `${room}-points-down`,
      comment: why[room],
      severity: 'error',
      from: { path: `^src/${room}/` },
      to: { path: '^src/', pathNot: `^src/(${[room, ...allowed].join('|')})/` },
    })),
    {
      name: 'no-circles',
      comment: 'a circle of imports has no bottom to test first',
      severity: 'error',
      from: {},
      to: { circular: true },
    },
    {
      name: 'pure-rooms-have-no-effects',
      comment:
        'clinical, rounds, chart, exchange, practice and shift must run the same in a browser and on a server',
      severity: 'error',
      from: {
        path: '^src/(clinical|rounds|chart|exchange|practice|shift)/',
        pathNot: '\\.(test|bench)\\.tsx?$',
      },
      to: { dependencyTypes: ['core'] },
    },
    {
      name: 'product-does-not-import-tests',
      comment: 'test helpers must not end up on a tablet',
      severity: 'error',
      from: { path: '^src/', pathNot: '\\.(test|bench)\\.tsx?$' },
      to: { path: '(^test/|\\.test\\.tsx?$)' },
    },
  ],
  options: {
    doNotFollow: { path: 'node_modules' },
    tsPreCompilationDeps: true,
    tsConfig: { fileName: 'tsconfig.json' },
    enhancedResolveOptions: { extensions: ['.ts', '.tsx', '.js', '.json'] },
  },
}
