import type { Cloud } from '../geometry/cloud.ts';
import type { MeasureId } from '../measurands/measurands.ts';
import type { Samples } from '../geometry/samples.ts';

/** What a gatherer may know. Everything is in the *working frame*: mm, within about 0.5 mm and 0.2° of the instrument frame. */
export interface Workpiece {
  /** The instrument alone or nearly so (stands taken away where they could be told). Working frame, mm. */
  readonly cloud: Cloud;
  readonly instrumentClass: InstrumentClass;
  /** Body length, mm, to about 1 mm. */
  readonly bodyLength: number;
  /** Body length ÷ 355 mm: scales the definitions' "× body length ÷ 355 mm". */
  readonly size: number;
  /** White noise along the normal, mm, standard; median over the smooth surfaces. */
  readonly sigma: number;
  /** Median spacing of points on smooth surfaces, mm. */
  readonly spacing: number;
  /** Edge of coarse facets that the points lie on, mm; 0 where the scan is fine enough to follow edge and arris. */
  readonly facets: number;
  /** Board line z(x), working frame, for families that look after the board has been found. */
  readonly boardLine?: BoardLine;
}

/** Height z0 + slope·x along the board: a line on it, or the plane across it over which heights are taken. */
export interface BoardLine {
  readonly z0: number;
  readonly slope: number;
}

/**
 * What a facet cuts off, RMS, in its edge: a chord of length e over a curve of radius R leaves e² ÷ 12 R; an edge's roundover and channel (R of 2–10 mm) are cut by
 * more, board and arch (R of 40–200 mm) by less than e ÷ 25.
 */
export const FACET_ERROR = 0.04;

export type InstrumentClass = 'violin' | 'viola' | 'cello' | 'bass';

/** Samples by name, e.g. `board.playingSurface`; names are unique over all families. */
export type PartSamples = Readonly<Record<string, Samples>>;

export interface Gathered {
  readonly samples: PartSamples;
  /** Measures that this scan cannot support, each with a reason in trade words. */
  readonly absent: ReadonlyMap<MeasureId, string>;
  readonly warnings: readonly string[];
  /** Share of each part that the scan covers, 0…1, for quality and `inspect`. */
  readonly coverage: Readonly<Record<string, number>>;
  /** Standard uncertainties that the definition of a feature has in this scan beyond what its samples carry, by id; mm or degrees. */
  readonly blur?: ReadonlyMap<MeasureId, number>;
  /** Half-waves that the model of a part has along it, by the part's name, where they are many: stretches longer than these cannot be left out of it. */
  readonly waves?: Readonly<Record<string, number>>;
  /** How the board's cross-section is modelled: its degree, and whether a facet is left out of it. */
  readonly section?: { readonly degree: number; readonly facet: 'with' | 'without' };
}

/** What evaluation may know besides samples. A fixed value per scan; random inputs (a station that is only assumed) come drawn. */
export interface EvaluationContext {
  readonly bodyLength: number;
  readonly size: number;
  readonly instrumentClass: InstrumentClass;
  /** Values found so far in this pass (families run in a fixed order), by id: mm and degrees. */
  readonly values: Map<MeasureId, number>;
  /** Intermediate results shared between families (board line etc.), by name. */
  readonly shared: Map<string, number>;
}

/** What a family found in one scan, and how its samples become values. */
export interface Gathering extends Gathered {
  /**
   * Turns samples, moved into the exact instrument frame, into `context.values` and `context.shared`. Run about a hundred times a scan with
   * perturbed samples: deterministic, ≲ 2 ms. A value that cannot be formed is left out.
   */
  evaluate(samples: PartSamples, context: EvaluationContext): void;
  /** The same samples under the model for a neck that warped, where a part has one: for a pair in which it is seen that it did. */
  asWarped?(): Gathering;
}

/** One family of measurands. `gather` looks for its parts once and may be slow (some 10 ms) and nonlinear. */
export interface Family {
  readonly name: string;
  readonly ids: readonly MeasureId[];
  gather(work: Workpiece): Gathering;
}
