import type { Unit } from '../geometry/scan.ts';
import type { MeasureId } from '../measurands/measurands.ts';
import type { InstrumentClass } from './family.ts';

/** Where a value comes from. */
export type Basis = 'measured' | 'given' | 'catalogue' | 'assumed';
export type Quality = 'good' | 'fair' | 'poor';

/** A measurand's value with its uncertainty; mm, degrees or 1. */
export interface Quantity {
  readonly value: number;
  readonly unit: 'mm' | 'deg' | '1';
  /** Standard uncertainty (GUM). */
  readonly u: number;
  /** Half-width of the 95 % interval. */
  readonly U95: number;
  /** Ends of the 95 % interval where it is not symmetrical. */
  readonly low?: number;
  readonly high?: number;
  readonly basis: Basis;
  readonly quality: Quality;
  readonly budget: readonly BudgetEntry[];
}

/** What one source of error contributes to a value's u. */
export interface BudgetEntry {
  readonly source: string;
  /** Standard, in the value's unit. */
  readonly u: number;
  /** Rests on an assumption about scanners or instruments, neither on this scan nor on what was stated of it. */
  readonly assumed?: true;
}

export type StationSource = 'given' | 'catalogue' | 'notches' | 'bridge' | 'assumed';

/** What is stated about a scan from outside; anything left out is found from the scan or assumed. */
export interface MeasureOptions {
  readonly instrumentClass?: InstrumentClass;
  /** Whether class and unit were stated on the command line or in a catalogue. */
  readonly classBasis?: 'given' | 'catalogue';
  readonly unit?: Unit;
  readonly unitBasis?: 'given' | 'catalogue';
  /** Bridge station, mm from the joint. */
  readonly stop?: number;
  readonly stopBasis?: 'given' | 'catalogue';
  /** Bridge height, mm, where no bridge is in the scan. */
  readonly bridgeHeight?: number;
  /** An early set (short board, neck in line with the ribs): from the catalogue's `group`; changes only the assumed stop ratio. */
  readonly earlySet?: true;
  /** Relative standard scale error of the scanner. */
  readonly scaleU?: number;
  /** Stated white noise of the scanner, mm, standard. */
  readonly noise?: number;
  /** Stated long-wave error of the scanner: mm RMS, and its correlation length, mm. */
  readonly longWave?: number;
  readonly longWaveLength?: number;
}

/** What pages draw: everything in the instrument frame, mm, thinned. Pairs and triples are flat. */
export interface Figures {
  /** Outline of the top: x, y pairs, closed or with gaps (NaN pair). */
  readonly outline: readonly number[];
  /** Points on the centreline plane |y| ≤ a few tenths: x, z pairs, unordered. */
  readonly section: readonly number[];
  /** Top plate on the centreline: x, z pairs. */
  readonly topCentre: readonly number[];
  /** z = z0 + slope·x of the board line, drawn from x = `from` (nut) to `to` (bridge station). */
  readonly boardLine?: { readonly z0: number; readonly slope: number; readonly from: number; readonly to: number };
  /** Ridge of the board: x, z pairs. */
  readonly boardRidge: readonly number[];
  /** Heel contour in y = 0: x, z pairs. */
  readonly heelContour: readonly number[];
  /** Thinned surface: xyz triples, ≤ 50 000 points. */
  readonly points: readonly number[];
}

/** All that measuring one scan yields. A scan that cannot be measured throws an `InputError` instead. */
export interface MeasureResult {
  readonly unit: { readonly value: Unit; readonly basis: 'given' | 'catalogue' | 'format' | 'inferred' };
  readonly class: { readonly value: InstrumentClass; readonly basis: 'given' | 'catalogue' | 'inferred' };
  readonly station?: { readonly x: number; readonly source: StationSource };
  /** Scan coordinates in the scan's own unit → instrument frame in mm: row-major 4 × 4. */
  readonly frame: readonly number[];
  readonly measures: Partial<Record<MeasureId, Quantity>>;
  readonly absent: readonly { readonly measure: MeasureId; readonly reason: string }[];
  readonly warnings: readonly string[];
  /** Noise, spacing, coverage by part: what `inspect` shows. */
  readonly survey: {
    readonly sigma: number;
    /** Part of it that neighbouring points share, mm, over what length, mm, and how many independent points would do as well; absent where too little of a smooth body is seen. */
    readonly correlatedNoise?: number;
    readonly correlationLength?: number;
    readonly effectivePoints?: number;
    readonly spacing: number;
    /** Size of the scan's box in its own axes, mm. */
    readonly extent: readonly [number, number, number];
    readonly coverage: Readonly<Record<string, number>>;
  };
  readonly figures: Figures;
}

/** Measures one scan. Pure: the same scan and options give the same result, whatever the clock or the machine. */
export type MeasureScan = (scan: import('../geometry/scan.ts').Scan, options: MeasureOptions) => MeasureResult;
