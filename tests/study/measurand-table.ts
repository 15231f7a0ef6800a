import { count, figure, percent, type ReportTable } from './report-table.ts';
import type { MeasurandFigures } from './measurand-figures.ts';

/** All figures of one group of scans, a row a measurand. */
export function measurandTable(title: string, measurands: readonly MeasurandFigures[]): ReportTable {
  return {
    title,
    columns: [
      'measurand',
      'n',
      'bias',
      'RMS',
      'p95',
      'max',
      'floor',
      'cover %',
      '95 % bounds',
      'mean U95',
      '÷ just 95 %',
      'needs ×',
      'RMS pull',
      'good %',
      'absent',
      'unsupported',
      'wrong',
      'silent',
    ],
    rows: measurands.map((m) => [
      m.id,
      String(m.n),
      figure(m.bias),
      figure(m.rms),
      figure(m.p95),
      figure(m.max),
      figure(m.floor),
      percent(m.coverage),
      `${percent(m.coverageLow)} … ${percent(m.coverageHigh)}`,
      figure(m.meanU95),
      figure(m.widthRatio),
      figure(m.scaleTo95),
      figure(m.pullRms),
      m.supported > 0 ? percent(m.good / m.supported) : '–',
      count(m.absentThoughSupported),
      count(m.givenThoughUnsupported),
      count(m.wrong),
      count(m.silent),
    ]),
  };
}
