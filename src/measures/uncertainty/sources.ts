/** Names of the sources in a budget. */
export const SOURCE = {
  noise: 'scan noise',
  longWave: 'long-wave error',
  thinned: 'thinned mesh',
  facets: 'coarse facets',
  unseenEdge: 'edge not seen',
  station: 'assumed station',
  definition: 'feature definition',
  scale: 'scale',
  halves: 'halves disagree',
} as const;
