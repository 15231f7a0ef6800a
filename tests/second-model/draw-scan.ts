/**
 * Draws a scan of the second model as a picture, to look at it:
 *   npx tsx tests/second-model/draw-scan.ts OUT.png --seed 1 [--class violin] [--set modern] [--quality ordinary] [--from front|back|side|above|heel]
 */
import { writeFileSync } from 'node:fs';
import { parseArgs } from 'node:util';
import type { InstrumentClass, SetKind } from './dimensions.ts';
import { makeScan, type Quality } from './make-scan.ts';
import { renderPng } from './render.ts';

const FROM: Record<string, readonly [number, number, number]> = {
  front: [0, 0, 1],
  back: [0, 0.01, -1],
  side: [0.1, -1, 0.15],
  above: [-0.5, 0.5, 0.7],
  heel: [-0.7, -0.6, -0.3],
};
/** width of the close view of the heel, in body lengths */
const HEEL_VIEW = 0.26;

const { values, positionals } = parseArgs({
  allowPositionals: true,
  options: {
    seed: { type: 'string', default: '1' },
    class: { type: 'string', default: 'violin' },
    set: { type: 'string', default: 'modern' },
    quality: { type: 'string', default: 'ordinary' },
    from: { type: 'string', default: 'above' },
    spacing: { type: 'string', default: '0.8' },
  },
});
const direction = FROM[values.from];
if (positionals[0] === undefined || direction === undefined)
  throw new Error(`say where the picture goes and from where it is seen (${Object.keys(FROM).join(', ')})`);
const scan = makeScan({
  seed: Number(values.seed),
  class: values.class as InstrumentClass,
  set: values.set as SetKind,
  quality: values.quality as Quality,
  spacing: Number(values.spacing),
  form: 'mesh',
});
const close = values.from === 'heel' ? { centre: [-5, 0, -10] as const, width: HEEL_VIEW * scan.truth.values['bodyLength'] } : undefined;
writeFileSync(positionals[0], renderPng(scan.exact, scan.triangles ?? new Uint32Array(0), direction, 1200, close));
