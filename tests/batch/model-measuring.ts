import { readScan } from '../../src/formats/read-scan.ts';
import { InputError } from '../../src/geometry/input-error.ts';
import type { Measuring } from '../../src/batch/measure-file.ts';
import { modelResult } from '../records/model-result.ts';

/**
 * Reads scans in earnest and answers with an invented violin, so that tests of batch and command line need no instrument. The
 * number of points decides what happens: from 8 on a result, below a refusal; a few special counts bring trouble on purpose.
 */
export const modelMeasuring: Measuring = {
  readScan,
  measureScan: (scan) => {
    const count = scan.positions.length / 3;
    if (count === POINTS_THAT_FAULT) throw new TypeError('planted fault');
    if (count === POINTS_THAT_EXIT) process.exit(3);
    if (count === POINTS_THAT_EXHAUST) exhaust();
    if (count < 8) throw new InputError('no-instrument', `holds ${count} points, too few for an instrument`);
    return modelResult((count % 100) / 100);
  },
};

export const POINTS_THAT_FAULT = 901;
export const POINTS_THAT_EXIT = 902;
export const POINTS_THAT_EXHAUST = 903;

function exhaust(): never {
  const hoard: unknown[] = [];
  for (;;) hoard.push(Array.from({ length: 1e5 }, (_, i) => ({ i })));
}
