import { readFileSync, writeFileSync } from 'node:fs';
import { expect, it } from 'vitest';
import type { MeasuredRecord } from '../../src/records/record.ts';
import type { StoredFigures } from '../../src/records/figures-file.ts';
import { stripChart } from '../../src/reports/strip-chart.ts';
import { planView } from '../../src/reports/plan-view.ts';
import { sideSection } from '../../src/reports/side-section.ts';
import { modelRecord } from '../records/model-record.ts';

/** Few points, so that the files can be read. */
const FIGURES: StoredFigures = {
  figures: 1,
  scan: 'scans/h-001.stl',
  outline: [0, 40, 60, 84, 180, 56, 280, 103, 355, 20, null, null, 355, -20, 280, -103, 180, -56, 60, -84, 0, -40],
  section: [-130, -10, -70, -5, 0, 0, 177, 15, 355, 0, 355, -33, 177, -48, 0, -33],
  topCentre: [0, 0, 100, 12, 195.1, 15, 280, 10, 355, 0],
  boardLine: { z0: 18, slope: 0.125, from: -129.2, to: 195.1 },
  boardRidge: [-129, 1.8, 0, 17.2, 139, 35.4],
  heelContour: [-25, -30, -22, -18, -20, -4],
  points: [0, 0, 0, 100, 50, 8, 200, -40, 9],
};

const record: MeasuredRecord = modelRecord();
const quantity = (value: number, quality: 'good' | 'fair') => ({ ...(record.measures.projection ?? raise()), value, quality });

it.each([
  ['side-section', () => sideSection(record, FIGURES)],
  ['plan-view', () => planView(record, FIGURES)],
  [
    'strip-chart',
    () =>
      stripChart(
        'Projection',
        [
          {
            name: 'Early',
            values: [26.2, 26.9, 27.4].map((v, i) => ({ name: `e-${i}`, href: `e-${i}.html`, quantity: quantity(v, 'good') })),
          },
          { name: 'Modern', values: [{ name: 'm-0', href: 'm-0.html', quantity: quantity(28.1, 'fair') }] },
        ],
        { max: 28.5 },
        { min: 26.5, max: 27.5 },
      ),
  ],
])('the %s is drawn as it was when last looked at', (name, draw) => {
  const file = new URL(`golden/${name}.svg`, import.meta.url);
  const drawn = `${(draw() ?? raise()).text.replace(/></g, '>\n<').replace(/\n+/g, '\n')}\n`;
  if (process.env.UPDATE_GOLDEN === '1') writeFileSync(file, drawn);
  expect(drawn).toBe(readFileSync(file, 'utf8'));
});

function raise(): never {
  throw new Error('the model must be drawn');
}
