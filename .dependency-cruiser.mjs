// The way the data goes is the way the folders stand: each may import itself and those before it.
const ORDER = [
  ['geometry', 'points, motions and scans are the ground on which all else stands'],
  ['numerics', 'numbers know no instruments, so that they can be proved against certified data'],
  ['measurands', 'the vocabulary is only words: everything may use it, it uses nothing'],
  ['formats', 'a reader turns bytes into a scan and must not know what the scan is for'],
  ['cloud', 'cleaning points must not depend on what will be fitted to them'],
  ['mesh', 'sections of a surface are geometry, whatever lies on it'],
  ['fits', 'a fit knows points and nothing of instruments, so that it can be checked against reference pairs'],
  ['segmentation', 'parts are found before a frame exists'],
  ['frame', 'datums come from parts and must not depend on what is measured from them'],
  ['measures', 'a measure knows parts and datums, not how its result is stored or shown'],
  ['change', 'what changed between two scans is measured from them both, and knows not how a result is stored or shown'],
  ['records', 'a record outlives the run: it must be readable without the batch that made it'],
  ['reports', 'a report knows nothing but records and figures, so that it can be made again from stored ones'],
  ['samples', 'the model instrument is made from definitions alone'],
  ['batch', 'running over many scans is the one place that joins reading, measuring and storing'],
  ['cli', 'arguments, messages and exit codes come last'],
];

const names = ORDER.map(([name]) => name);

const layers = ORDER.slice(0, -1).map(([name, reason], place) => ({
  name: `${name}-imports-only-what-comes-before`,
  comment: `src/${name} imports itself and the folders before it: ${reason}.`,
  severity: 'error',
  from: { path: `^src/${name}/` },
  to: { path: `^src/(?:${names.slice(place + 1).join('|')})/` },
}));

const MEASURING = ['formats', 'cloud', 'mesh', 'fits', 'segmentation', 'frame', 'measures', 'change'];

export default {
  forbidden: [
    ...layers,
    {
      name: 'samples-know-no-estimator',
      comment: 'The model instrument and its truth must be independent of the code that is judged by them.',
      severity: 'error',
      from: { path: '^src/samples/' },
      to: { path: `^src/(?:${MEASURING.join('|')}|records|reports)/`, pathNot: '^src/measures/family[.]ts$' },
    },
    {
      name: 'only-the-command-line-uses-samples',
      comment: 'Measuring code that saw the model would be tuned to it; samples are for `necksight sample` and for tests.',
      severity: 'error',
      from: { path: '^src/', pathNot: '^src/(?:samples|cli)/' },
      to: { path: '^src/samples/' },
    },
    {
      name: 'reports-read-records-only',
      comment:
        'A report is made from stored records and figures, so it never needs the measuring code; types of a result are part of the record.',
      severity: 'error',
      from: { path: '^src/reports/' },
      to: { path: `^src/(?:${MEASURING.join('|')})/`, dependencyTypesNot: ['type-only'] },
    },
    {
      name: 'disk-clock-and-process-stay-outside',
      comment:
        'The same bytes give the same record: what touches disk, clock or process is in formats (reading), records (the store), samples (writing), batch and cli.',
      severity: 'error',
      from: { path: '^src/(?:geometry|numerics|measurands|cloud|mesh|fits|segmentation|frame|measures|change|reports)/' },
      to: { path: '^(?:node:)?(?:fs|fs/promises|child_process|os|process|worker_threads|net|http|https)$' },
    },
    {
      name: 'no-circles',
      comment: 'Two files that import each other are one idea cut in two, or two ideas that cannot be tested apart.',
      severity: 'error',
      from: { path: '^src/' },
      to: { circular: true, viaOnly: { dependencyTypesNot: ['type-only'] } },
    },
    {
      name: 'no-development-packages-in-src',
      comment: 'What is installed with the package must suffice to run it.',
      severity: 'error',
      from: { path: '^src/' },
      to: { dependencyTypes: ['npm-dev'] },
    },
    {
      name: 'nothing-unresolved',
      comment: 'An import that cannot be resolved hides from every other rule.',
      severity: 'error',
      from: {},
      to: { couldNotResolve: true },
    },
    {
      name: 'src-knows-no-tests',
      comment: 'Tests use the source, never the other way round.',
      severity: 'error',
      from: { path: '^src/' },
      to: { path: '^tests/' },
    },
    {
      name: 'second-model-is-independent',
      comment: 'The second model instrument judges both the estimator and the first model, so it knows neither.',
      severity: 'error',
      from: { path: '^tests/second-model/', pathNot: '[.]test[.]ts$' },
      to: { path: '^src/' },
    },
  ],
  options: {
    doNotFollow: { path: 'node_modules' },
    tsPreCompilationDeps: true,
    tsConfig: { fileName: 'tsconfig.json' },
    enhancedResolveOptions: {
      extensions: ['.ts', '.mjs', '.js', '.json'],
      exportsFields: ['exports'],
      conditionNames: ['import', 'node', 'default', 'types'],
    },
  },
};
