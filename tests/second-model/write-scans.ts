/**
 * Writes scans of the second model with truth and catalogue:
 *   npx tsx tests/second-model/write-scans.ts DIR --count N --seed S [--class violin] [--set modern] [--quality ordinary] …
 */
import { mkdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { parseArgs } from 'node:util';
import { makeScan, type ScanOptions } from './make-scan.ts';
import { type Format, scanBytes } from './scan-files.ts';

const { values: given, positionals } = parseArgs({
  allowPositionals: true,
  options: {
    count: { type: 'string', default: '1' },
    seed: { type: 'string', default: '1' },
    class: { type: 'string' },
    set: { type: 'string' },
    quality: { type: 'string' },
    fittings: { type: 'string' },
    view: { type: 'string' },
    sigma: { type: 'string' },
    amplitude: { type: 'string' },
    length: { type: 'string' },
    kernel: { type: 'string' },
    spacing: { type: 'string' },
    unit: { type: 'string' },
    form: { type: 'string' },
    format: { type: 'string', default: 'ply' },
    'body-length': { type: 'string' },
    clutter: { type: 'string' },
    'far-offset': { type: 'string' },
    stop: { type: 'string' },
    /** what the catalogue says: nothing, or unit and class */
    catalogue: { type: 'string', default: 'bare' },
  },
});
const folder = positionals[0];
if (folder === undefined) throw new Error('say where the scans go: write-scans.ts DIR --count N --seed S');
mkdirSync(folder, { recursive: true });
const rows = ['instrument,scan,date,label,class,unit,stop'];
const number = (text: string | undefined): number | undefined => (text === undefined ? undefined : Number(text));
const first = Number(given.seed);
for (let i = 0; i < Number(given.count); i++) {
  const format = given.format as Format;
  const form = format === 'stl' || format === 'obj' ? 'mesh' : format === 'pcd' || format === 'xyz' ? 'cloud' : given.form;
  const stop = given.stop === 'true' || given.stop === undefined ? given.stop : Number(given.stop);
  const options = {
    seed: first + i,
    class: given.class,
    set: given.set,
    quality: given.quality,
    fittings: given.fittings,
    view: given.view,
    sigma: number(given.sigma),
    amplitude: number(given.amplitude),
    length: number(given.length),
    kernel: given.kernel,
    spacing: number(given.spacing),
    unit: given.unit,
    form,
    bodyLength: number(given['body-length']),
    clutter: given.clutter,
    farOffset: number(given['far-offset']),
    stop,
  };
  const scan = makeScan(Object.fromEntries(Object.entries(options).filter(([, v]) => v !== undefined)) as unknown as ScanOptions);
  const name = String(i).padStart(4, '0');
  const file = `scan-${name}.${format}`;
  writeFileSync(join(folder, file), scanBytes(format, scan.positions, scan.triangles));
  const { view: _view, givenStop, ...truth } = { ...scan.truth, scan: file };
  writeFileSync(join(folder, `truth-${name}.json`), `${JSON.stringify(rounded(truth), null, 1)}\n`);
  const known = given.catalogue === 'full';
  rows.push(
    `second-${first + i},${file},2015-01-01,,${known ? scan.truth.class : ''},${known ? scan.truth.unit : ''},${givenStop === null ? '' : (givenStop / 1).toFixed(1)}`,
  );
  process.stdout.write(`${file}: ${scan.positions.length / 3} points\n`);
}
writeFileSync(join(folder, 'catalogue.csv'), `${rows.join('\n')}\n`);

/** values to a millionth, the frame as it is */
function rounded(value: unknown, key = ''): unknown {
  if (typeof value === 'number') return key === 'frame' ? value : Math.round(value * 1e6) / 1e6;
  if (Array.isArray(value)) return value.map((v) => rounded(v, key));
  if (value !== null && typeof value === 'object') return Object.fromEntries(Object.entries(value).map(([k, v]) => [k, rounded(v, k)]));
  return value;
}
