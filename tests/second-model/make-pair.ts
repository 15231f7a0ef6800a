import { changedBody } from './body-change.ts';
import { registerBody } from './body-registration.ts';
import type { Change, ChangeTruth } from './change.ts';
import { changeTruth } from './change-truth.ts';
import { carriedFrame } from './later-frame.ts';
import { capture, type MadeScan, type ScanOptions, scanAndInstrument, UNIT_MM, type Unit } from './make-scan.ts';
import { changedNeck } from './neck-change.ts';
import { Random } from './random.ts';
import { measureTruth } from './truth.ts';

export interface LaterScan {
  readonly positions: Float64Array;
  readonly triangles?: Uint32Array;
  readonly labels: Uint8Array;
  /** points without error, and outward normals, in the baseline's instrument frame carried over by the registration, mm */
  readonly exact: Float64Array;
  readonly normals: Float64Array;
  readonly unit: Unit;
  /** rows of the 4 × 4 matrix that takes the scan (its own unit) to that frame (mm) */
  readonly frame: readonly number[];
  /** station: mm in the baseline's instrument frame; without it that of the f-holes' notches */
  truth(station?: number): ChangeTruth;
}

export interface ScanPair {
  readonly baseline: MadeScan;
  /** A later scan of the same instrument; what `look` leaves open is as in the baseline, its seed is the scanner's and the fittings'. */
  later(change: Change, look: Partial<ScanOptions> & { readonly seed: number }): LaterScan;
}

export function makePair(options: ScanOptions): ScanPair {
  const { scan: baseline, instrument, frame, bridge, strings } = scanAndInstrument(options);
  const { body, neck, kind, set } = instrument;
  const base = measureTruth(body, neck, frame, kind, set, bridge, strings, undefined);
  const later = (change: Change, look: Partial<ScanOptions> & { readonly seed: number }): LaterScan => {
    const { body: laterBody, block } = changedBody(body, frame, change);
    const changed = changedNeck(neck, frame, base, change, block);
    const registration = registerBody(body, laterBody, neck, frame, change.block !== 0);
    const laterFrame = carriedFrame(frame, neck, laterBody, changed.neck, registration.motion);
    const random = new Random(look.seed);
    const fitRandom = random.fork();
    const now = { ...instrument, body: laterBody, neck: changed.neck };
    const made = capture(now, laterFrame, { ...options, ...look }, random, fitRandom, random.fork());
    const truth = (station?: number): ChangeTruth => {
      const at = station ?? base.values['stop'];
      const values = measureTruth(body, neck, frame, kind, set, bridge, strings, at);
      const laterValues = measureTruth(laterBody, changed.neck, laterFrame, kind, set, made.bridge, made.strings, at);
      const pair = { body, frame, values, laterBody, laterFrame, laterValues };
      return changeTruth({ ...pair, neck: changed, block, registration }, change);
    };
    const { exact, unit } = made;
    const scan = { positions: made.positions, labels: exact.labels, exact: exact.points, normals: exact.normals };
    const result = { ...scan, unit, frame: made.pose.back(UNIT_MM[unit]), truth };
    return made.triangles ? { ...result, triangles: made.triangles } : result;
  };
  return { baseline, later };
}
