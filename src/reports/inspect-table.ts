import { MEASURANDS } from '../measurands/measurands.ts';
import { isFailed, type MeasuredRecord, type ScanRecord } from '../records/record.ts';
import { noiseWords } from './noise-words.ts';
import { printable } from './printable.ts';
import { BASIS_WORDS, STATION_WORDS } from './trade-words.ts';
import { wrapped } from './wrapped.ts';

const LABEL_WIDTH = 16;

/** Parts whose coverage a record tells, and what a reader left out, in words. */
const PART_WORDS: Readonly<Record<string, string>> = {
  edge: 'edge of the top',
  board: 'board',
  topCentre: 'top along the centreline',
  'neck.back': 'back of the neck',
  'neck.board': 'board over the neck',
  'neck.button': 'button',
  'neck.heel': 'heel',
};
const DROPPED_WORDS: Readonly<Record<string, string>> = {
  degenerateTriangles: 'triangles without area',
  unreferencedPoints: 'points that no facet uses',
  looseFaces: 'facets that share no corner with others',
  facesBelowThreeCorners: 'facets with fewer than three corners',
};

/** What `inspect` tells people about one scan. */
export function inspectTable(record: ScanRecord): string {
  if (isFailed(record)) return `${printable(record.scan)}\n  failed (${record.failed.code}): ${printable(record.failed.message)}\n`;
  return [
    printable(record.scan),
    ...rows(record).flatMap(([label, text]) => wrapped(text, ' '.repeat(LABEL_WIDTH + 2), `  ${label.padEnd(LABEL_WIDTH)}`)),
    '',
  ].join('\n');
}

function rows(record: MeasuredRecord): readonly (readonly [string, string])[] {
  const { survey, station } = record;
  const found = MEASURANDS.filter(({ id }) => record.measures[id] !== undefined);
  return [
    ['format', record.format],
    ['points', record.points.toLocaleString('en')],
    ['triangles', record.triangles === 0 ? 'none: a point cloud' : record.triangles.toLocaleString('en')],
    ['unit', `${record.unit.value}, ${BASIS_WORDS[record.unit.basis]}`],
    ['class', `${record.class.value}, ${BASIS_WORDS[record.class.basis]}`],
    ['extent', `${survey.extent.map((mm) => mm.toFixed(0)).join(' × ')} mm`],
    ['density', `a point every ${survey.spacing.toFixed(2)} mm`],
    ['noise', noiseWords(record.survey)],
    ['bridge station', station === undefined ? 'not found' : `${station.x.toFixed(1)} mm from the joint, ${STATION_WORDS[station.source]}`],
    [
      'covered',
      Object.entries(survey.coverage)
        .map(([part, share]) => `${PART_WORDS[part] ?? printable(part)} ${Math.round(100 * share)} %`)
        .join(', '),
    ],
    ['can be measured', found.map(({ title }) => title.charAt(0).toLowerCase() + title.slice(1)).join('; ') || 'nothing'],
    ...record.absent.map(({ measure, reason }) => ['cannot', `${title(measure)}: ${printable(reason)}`] as const),
    ...Object.entries(record.dropped).map(
      ([what, count]) => ['left out', `${count.toLocaleString('en')} ${DROPPED_WORDS[what] ?? printable(what)}`] as const,
    ),
    ...record.warnings.map((warning) => ['note', printable(warning)] as const),
  ];
}

const title = (id: string): string => MEASURANDS.find((m) => m.id === id)?.title ?? id;
