import { figure, mark, percent, type ReportTable } from './report-table.ts';
import type { Part } from './study-tables.ts';
import { COVERAGE_RANGE, FLOOR_FACTOR, FRAME_FOUND, GOOD_SHARE, NEAR_FLOOR, TARGETS, WIDTH_RATIO } from './targets.ts';

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
    const { scans, frameFound, frameWrong, silent, good, supported } = part.figures;
    return [
      [
        part.title,
        String(scans),
        ...cells,
        `${percent(frameFound)} % ${mark(frameFound >= FRAME_FOUND)}`,
        `${frameWrong} ${mark(frameWrong === 0)}`,
        `${silent} ${mark(silent === 0)}`,
        `${percent(good / supported)} % ${mark(good >= GOOD_SHARE * supported)}`,
      ],
    ];
  });
  return {
    title: 'Figures to reach: 95th percentile of |error|',
    note: 'mm or degrees. Projection and board offset are judged at the bridge station that the record names. Good: share of the supported headline values.',
    columns: ['scans of', 'n', ...ids, 'frame found', 'frame wrong', 'silently wrong', 'good'],
    rows,
  };
}

/** One row a group: frames, coverage, quality. */
export function groupTable(parts: readonly Part[]): ReportTable {
  return {
    title: 'By group',
    note: 'Headline measurands together. Coverage with its 99 % Clopper–Pearson interval, marked when that meets 93–98 %. Rotation in degrees, origin in mm: median, 95th percentile, greatest. Mistaken: class or unit taken for another.',
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
    rows: parts.map(({ title, figures: f }) => [
      title,
      String(f.scans),
      String(f.failed),
      String(f.mistaken),
      String(f.frameWrong),
      f.rotation.map(figure).join(' / '),
      f.origin.map(figure).join(' / '),
      String(f.values),
      `${percent(f.coverage)} ${mark(f.coverageHigh >= COVERAGE_RANGE[0] && f.coverageLow <= COVERAGE_RANGE[1])}`,
      `${percent(f.coverageLow)} … ${percent(f.coverageHigh)}`,
      figure(f.pullRms),
      percent(f.good / f.supported),
      `${f.absent} of ${f.supported}`,
      String(f.wrong),
      String(f.silent),
    ]),
  };
}

/** Error, floor and their ratio side by side; coverage and width of the intervals of the same measurands. */
export function floorTable(parts: readonly Part[]): ReportTable {
  const rows = parts.flatMap((part) =>
    part.figures.measurands
      .filter((m) => NEAR_FLOOR.includes(m.id) && targetsOf(part.group) !== undefined)
      .map((m) => [
        `${part.title}: ${m.id}`,
        String(m.n),
        figure(m.p95),
        figure(m.floor),
        `${figure(m.p95 / m.floor)}${Number.isFinite(m.floor) ? ` ${mark(m.p95 <= FLOOR_FACTOR * m.floor)}` : ''}`,
        `${percent(m.coverage)} ${mark(m.coverageHigh >= COVERAGE_RANGE[0] && m.coverageLow <= COVERAGE_RANGE[1])}`,
        `${figure(m.widthRatio)} ${mark(m.widthRatio <= WIDTH_RATIO)}`,
      ]),
  );
  return {
    title: 'Near the floor',
    note: `Floor: what plain fits to the known parts of the same scans err by (RMS of their 95th percentiles), as the model tells it. Marked at ${FLOOR_FACTOR} × the floor; coverage where its 95 % Clopper–Pearson interval meets 93–98 %; mean U95 over the one width that would just hold 95 % at ${WIDTH_RATIO}.`,
    columns: ['scans of: measurand', 'n', 'p95', 'floor', 'p95 ÷ floor', 'cover %', 'U95 ÷ just 95 %'],
    rows,
  };
}
