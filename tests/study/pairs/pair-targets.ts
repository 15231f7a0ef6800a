import { measurandFigures } from '../measurand-figures.ts';
import { figure, mark, percent, type ReportTable } from '../report-table.ts';
import { judgePair } from './judge-pair.ts';
import type { PairResult } from './pair-result.ts';

type Counts = (result: PairResult) => boolean;
const ALL: Counts = () => true;
/** A warp that loosens nothing of the heel. */
const STRAIGHT: Counts = ({ warp }) => warp === 0;

/** 95th percentiles to reach on clean pairs, mm and degrees; the shift along the body where the head may hold it. */
const CLEAN: readonly (readonly [id: string, target: number, title: string, counts: Counts])[] = [
  ['neckPitch', 0.01, 'neckPitch', ALL],
  ['d projection', 0.05, 'd projection', ALL],
  ['neckShift.x', 0.05, 'neckShift.x, head seen', ({ view }) => view === 'whole'],
  ['neckShift.y', 0.03, 'neckShift.y', ALL],
  ['neckShift.z', 0.03, 'neckShift.z', ALL],
  ['heelRootRotation', 0.06, 'heelRootRotation', ALL],
  ['heelRootRotation', 0.06, 'heelRootRotation, necks that kept straight', STRAIGHT],
  ['heelBend', 0.06, 'heelBend', ALL],
  ['heelBend', 0.06, 'heelBend, necks that kept straight', STRAIGHT],
];
/** At ordinary quality, a 95th percentile may be so many times the floor. */
const FLOOR_FACTOR = 1.3;
const NEAR_FLOOR = [
  'neckPitch',
  'neckYaw',
  'neckRoll',
  'neckShift.x',
  'neckShift.y',
  'neckShift.z',
  'neckBend',
  'heelRootRotation',
  'heelBend',
  'projectionByNeck',
  'd projection',
];
/** A registration is right within this, mm, or within so many of its standard uncertainties. */
const RIGHT = 0.3;
const RIGHT_U = 5;

const isSeenRound = ({ view }: PairResult): boolean => view === 'whole' || view === 'no-scroll';
const modelsOf = (results: readonly PairResult[]): string[] => [...new Set(results.map((r) => r.model))].sort();

const figuresOf = (results: readonly PairResult[], id: string) =>
  measurandFigures(
    id,
    results.flatMap((r) => r.scores.filter((s) => s.id === id)),
    judgePair,
  );

/** Clean pairs of several changes against the figures to reach. */
export function targetTable(results: readonly PairResult[]): ReportTable {
  const seen = results.filter(isSeenRound);
  return {
    title: 'Figures to reach, clean pairs of several changes seen from all sides: 95th percentile of |error|',
    note: 'Floor: least squares along the true normals, at the scans’ own points with their true labels and surfaces, under the same noise (RMS of its 95th percentiles). It knows each shape and where the changes are; of the shift along the body it knows back and sides alone.',
    columns: ['model: change', 'n', 'p95', 'target', '', 'floor'],
    rows: modelsOf(seen).flatMap((model) =>
      CLEAN.flatMap(([id, target, title, counts]) => {
        const { n, p95, floor } = figuresOf(
          seen.filter((r) => r.model === model && counts(r)),
          id,
        );
        return n === 0 ? [] : [[`${model}: ${title}`, String(n), figure(p95), `≤ ${target}`, mark(p95 <= target), figure(floor)]];
      }),
    ),
  };
}

/** Ordinary pairs against the floor. */
export function floorTable(results: readonly PairResult[]): ReportTable {
  const seen = results.filter(isSeenRound);
  return {
    title: 'Near the floor, ordinary pairs seen from all sides',
    note: `The 95th percentile of |error| may be ${FLOOR_FACTOR} × the floor. Coverage over pairs in which the change is truly not 0.`,
    columns: ['model: change', 'n', 'p95', 'floor', 'p95 ÷ floor', '', 'cover %', 'mean U95'],
    rows: modelsOf(seen).flatMap((model) =>
      NEAR_FLOOR.flatMap((id) => {
        const own = seen.filter((r) => r.model === model);
        const { n, p95, floor, meanU95 } = figuresOf(own, id);
        if (n === 0) return [];
        const changed = own.map((r) => ({ ...r, scores: r.scores.filter((s) => s.truth !== 0) }));
        const ratio = p95 / floor;
        return [
          [
            `${model}: ${id}`,
            String(n),
            figure(p95),
            figure(floor),
            figure(ratio),
            mark(ratio <= FLOOR_FACTOR),
            percent(figuresOf(changed, id).coverage),
            figure(meanU95),
          ],
        ];
      }),
    ),
  };
}

/** Whether bodies were brought together rightly, from any pose. */
export function registrationTable(results: readonly PairResult[]): ReportTable {
  return {
    title: 'Registration of the bodies',
    note: `Where the farthest corner of the body's box lies against its true place. Right: within ${RIGHT} mm or ${RIGHT_U} u, whichever is larger.`,
    columns: ['model', 'pairs', 'refused', 'right', '%', 'p95, mm', 'max, mm'],
    rows: modelsOf(results).map((model) => {
      const own = results.filter((r) => r.model === model);
      const found = own.map((r) => r.registration).filter((r) => r !== undefined);
      const right = found.filter((r) => r.farthest <= Math.max(RIGHT, RIGHT_U * r.u)).length;
      const sizes = found.map((r) => r.farthest).sort((a, b) => a - b);
      return [
        model,
        String(own.length),
        String(own.length - found.length),
        `${right} of ${found.length}`,
        percent(right / found.length),
        figure(sizes[Math.ceil(0.95 * sizes.length) - 1] ?? Number.NaN),
        figure(sizes.at(-1) ?? Number.NaN),
      ];
    }),
  };
}
