import type { MeasurandFigures } from './measurand-figures.ts';
import { figure, mark, percent, type ReportTable } from './report-table.ts';
import type { Part } from './study-tables.ts';
import {
  ABSENT_SHARE,
  COVERAGE_RANGE,
  FLOOR_FACTOR,
  FLOOR_FIGURES,
  FRAME_FOUND,
  GOOD_SHARE,
  NEAR_FLOOR,
  TARGETS,
  WIDTH_RATIO,
} from './targets.ts';

/** Groups that are held against another group's targets. */
const SAME_TARGETS: Readonly<Record<string, string>> = { exponential: 'ordinary' };

const targetsOf = (group: string): Readonly<Record<string, number>> | undefined => TARGETS[SAME_TARGETS[group] ?? group];

/** 95th percentiles beside the figures to reach. */
export function targetTable(parts: readonly Part[]): ReportTable {
  const ids = [...new Set(Object.values(TARGETS).flatMap((t) => Object.keys(t)))];
  const rows = parts.flatMap((part) => {
    const targets = targetsOf(part.group);
    if (targets === undefined) return [];
    const cells = ids.map((id) => {
      const p95 = part.figures.measurands.find((m) => m.id === id)?.p95 ?? Number.NaN;
      return `${figure(p95)} ≤ ${targets[id]} ${mark(p95 <= targets[id])}`;
    });
    const { scans, frameFound, frameWrong, silent, good, supported, absent } = part.figures;
    return [
      [
        part.title,
        String(scans),
        ...cells,
        `${percent(frameFound)} % ${mark(frameFound >= FRAME_FOUND)}`,
        `${frameWrong} ${mark(frameWrong === 0)}`,
        `${silent} ${mark(silent === 0)}`,
        `${percent(good / supported)} % ${mark(good >= GOOD_SHARE * supported)}`,
        `${percent(absent / supported)} % ${mark(absent <= ABSENT_SHARE * supported)}`,
      ],
    ];
  });
  return {
    title: 'Figures to reach: 95th percentile of |error|',
    note: 'mm or degrees. Projection and board offset are judged at the bridge station that the record names. Good, absent: shares of the supported headline values. Silently wrong: secondary measurands count too.',
    columns: ['scans of', 'n', ...ids, 'frame found', 'frame wrong', 'silently wrong', 'good', 'absent'],
    rows,
  };
}

/** One row a group: frames, coverage, quality. */
export function groupTable(parts: readonly Part[]): ReportTable {
  return {
    title: 'By group',
    note: 'Headline measurands together, wrong ones of all. Coverage with its 99 % Clopper–Pearson interval, marked when that meets 93–98 % (below the assumed long-wave error only the lower bound counts; far above it and not stated nothing was promised, and these scans are not among all). Rotation in degrees, origin in mm: median, 95th percentile, greatest. Mistaken: class or unit taken for another; other station: the bridge station comes from another source than the first that the scan shows.',
    columns: [
      'scans of',
      'n',
      'refused',
      'mistaken',
      'frame wrong',
      'rotation',
      'origin',
      'values',
      'cover %',
      '99 % bounds',
      'RMS pull',
      'good %',
      'absent',
      'wrong',
      'silent',
    ],
    rows: parts.map(({ title, promise, figures: f }) => [
      title,
      String(f.scans),
      String(f.failed),
      String(f.mistaken),
      String(f.otherStation),
      String(f.frameWrong),
      f.rotation.map(figure).join(' / '),
      f.origin.map(figure).join(' / '),
      String(f.values),
      `${percent(f.coverage)} ${coverageMark(f, promise)}`,
      `${percent(f.coverageLow)} … ${percent(f.coverageHigh)}`,
      figure(f.pullRms),
      percent(f.good / f.supported),
      `${f.absent} of ${f.supported}`,
      String(f.wrong),
      String(f.silent),
    ]),
  };
}

function coverageMark(f: Part['figures'], promise: Part['promise']): string {
  if (promise === 'none') return '';
  return mark(f.coverageHigh >= COVERAGE_RANGE[0] && (promise === 'lower' || f.coverageLow <= COVERAGE_RANGE[1]));
}

/** Error, floor and their ratio side by side; coverage and width of the intervals of the same measurands. */
export function floorTable(parts: readonly Part[]): ReportTable {
  const rows = parts.flatMap((part) => {
    const figures = FLOOR_FIGURES[SAME_TARGETS[part.group] ?? part.group];
    if (figures === undefined) return [];
    return part.figures.measurands.filter((m) => NEAR_FLOOR.includes(m.id)).map((m) => floorRow(part.title, m, figures[m.id] ?? 0));
  });
  return {
    title: 'Near the floor',
    note: `Floor: what plain fits to the known parts of the same scans err by (RMS of their 95th percentiles), where the model tells it. At most: the larger of ${FLOOR_FACTOR} × the floor and the figure to reach. Coverage is marked where its 95 % Clopper–Pearson interval meets 93–98 %; mean U95 over the one width that would just hold 95 % at ${WIDTH_RATIO}.`,
    columns: ['scans of: measurand', 'n', 'p95', 'at most', 'floor', 'p95 ÷ floor', 'cover %', 'U95 ÷ just 95 %'],
    rows,
  };
}

function floorRow(title: string, m: MeasurandFigures, target: number): string[] {
  const limit = Math.max(target, Number.isFinite(m.floor) ? FLOOR_FACTOR * m.floor : 0);
  return [
    `${title}: ${m.id}`,
    String(m.n),
    figure(m.p95),
    limit > 0 ? `${figure(limit)} ${mark(m.p95 <= limit)}` : '–',
    figure(m.floor),
    figure(m.p95 / m.floor),
    `${percent(m.coverage)} ${mark(m.coverageHigh >= COVERAGE_RANGE[0] && m.coverageLow <= COVERAGE_RANGE[1])}`,
    `${figure(m.widthRatio)} ${mark(m.widthRatio <= WIDTH_RATIO)}`,
  ];
}
