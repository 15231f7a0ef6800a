import type { Workpiece } from '../family.ts';

/** How points are spread in plan about the edge of a hole. */
export interface EdgeDensity {
  /** Points a mm² in the plate and in the hole. */
  readonly plate: number;
  readonly hole: number;
  /** Points a mm of edge, above those of the plate: walls, and the vertices of a mesh along its rim. */
  readonly edge: number;
  /** Where the edge lies, mm into the plate from the first curve, and how far its points spread, mm. */
  readonly offset: number;
  readonly spread: number;
  /** Logarithm of the density at distances into the plate: entry round(distance × logScale) + logZero. */
  readonly log: Float64Array;
  readonly logZero: number;
  readonly logScale: number;
}

/** mm × size. Where the plate's own density is counted: away from the edge. */
const PLATE_FROM = 1.8;
const PLATE_TO = 5;
/** mm × size. Offsets and spreads that are tried. */
const OFFSETS = Array.from({ length: 21 }, (_, k) => -0.5 + 0.05 * k);
const SPREADS = [0.05, 0.07, 0.1, 0.14, 0.2, 0.28, 0.4];
/** mm × size. Half the band about the edge in which they are compared. */
const BAND = 1.5;
/** mm. Distances are counted in bins of this width: finer than any edge is seen. */
const BIN = 0.03;
/** Steps of expectation and maximisation for the edge's share: the last digit does not matter. */
const STEPS = 6;
/** Density of the hole as a share of the plate's: outliers, webs, points inside. */
const HOLE_SHARE = 0.02;
/** Points that the band must hold. */
const FEWEST = 15;
/** Distances are looked up in steps of this, mm. */
const TABLE_STEP = 0.01;
/** mm × size. Farther points lie deep in the plate or in the hole. */
const TABLE_REACH = 8;

/**
 * Fits the density across an edge: `hole` beyond it, `plate` behind it, and on it a ridge of `edge` points a mm with normal spread.
 *
 * @param points  (place along the edge, distance into the plate) pairs, mm
 * @param least  spread (mm) below which the ridge is not believed to be sharp
 * @returns undefined where too few points lie about the edge
 */
export function edgeDensity(points: Float64Array, work: Workpiece, length: number, least: number): EdgeDensity | undefined {
  const { size } = work;
  const bins = new Float64Array(2 * Math.ceil((BAND * size) / BIN));
  let inBand = 0;
  let inPlate = 0;
  for (let k = 1; k < points.length; k += 2) {
    const bin = Math.floor(points[k] / BIN) + bins.length / 2;
    if (bin >= 0 && bin < bins.length) {
      bins[bin]++;
      inBand++;
    }
    if (points[k] > PLATE_FROM * size && points[k] < PLATE_TO * size) inPlate++;
  }
  if (inBand < FEWEST || inPlate < FEWEST) return undefined;
  const plate = inPlate / (length * (PLATE_TO - PLATE_FROM) * size);
  const hole = HOLE_SHARE * plate;
  const band: Counted[] = [];
  bins.forEach((n, k) => {
    if (n > 0) band.push({ into: (k + 0.5 - bins.length / 2) * BIN, n });
  });
  let best: Plain | undefined;
  let bestLog = -Infinity;
  for (const spread of SPREADS) {
    for (const offset of OFFSETS) {
      const density = withEdge(band, plate, hole, offset * size, Math.hypot(spread * size, work.sigma, least), length);
      let log = -density.edge * length + (plate - hole) * offset * size * length;
      for (const { into, n } of band) log += n * Math.log(rate(density, into - density.offset));
      if (log > bestLog) {
        bestLog = log;
        best = density;
      }
    }
  }
  return best === undefined ? undefined : tabulated(best, TABLE_REACH * size);
}

/** Points at a distance into the plate. */
interface Counted {
  readonly into: number;
  readonly n: number;
}

type Plain = Omit<EdgeDensity, 'log' | 'logZero' | 'logScale'>;

function rate({ plate, hole, edge, spread }: Plain, into: number): number {
  return (into > 0 ? plate : hole) + (edge * normalDensity(into / spread)) / spread;
}

const normalDensity = (z: number): number => Math.exp(-0.5 * z * z) / Math.sqrt(2 * Math.PI);

/** The edge's own density by expectation and maximisation: its share of the points in the band. */
function withEdge(band: readonly Counted[], plate: number, hole: number, offset: number, spread: number, length: number): Plain {
  let density: Plain = { plate, hole, edge: band.reduce((sum, b) => sum + b.n, 0) / length, offset, spread };
  for (let step = 0; step < STEPS; step++) {
    let share = 0;
    for (const { into, n } of band) {
      const ridge = (density.edge * normalDensity((into - offset) / spread)) / spread;
      share += (n * ridge) / rate(density, into - offset);
    }
    density = { ...density, edge: share / length };
  }
  return density;
}

function tabulated(density: Plain, reach: number): EdgeDensity {
  const logZero = Math.ceil(reach / TABLE_STEP);
  const log = Float64Array.from({ length: 2 * logZero + 1 }, (_, k) => Math.log(rate(density, (k - logZero) * TABLE_STEP)));
  return { ...density, log, logZero, logScale: 1 / TABLE_STEP };
}
