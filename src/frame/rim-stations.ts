import { quantile } from '../numerics/statistics.ts';
import { edgeScale } from './edge-scale.ts';
import { type ExtremumProfile, extremumProfile, offPeak } from './extremum-profile.ts';
import type { RimSide } from './rim-points.ts';

/** A place on the rim where outline and crest were both looked for. Working frame, mm. */
export interface RimStation {
  readonly bin: number;
  readonly side: 1 | -1;
  /** Outline: outermost line of the edge; NaN when not seen. */
  readonly x: number;
  readonly y: number;
  readonly z: number;
  readonly outlineU: number;
  /** Outward normal in the plan. */
  readonly nx: number;
  readonly ny: number;
  /** Crest: place and height; NaN when not seen. */
  readonly crestX: number;
  readonly crestY: number;
  readonly crestZ: number;
  readonly crestU: number;
  readonly corner: boolean;
  /** Whether the crest has a channel inside it; otherwise the surface 2.5 mm × size inside the outline stands for it. */
  readonly channel: boolean;
}

/** Bins pooled on each side of a station for its own heights (± 6 mm × size and more where points are few), and for the shape of the profile (± 26 mm × size). */
const LEAST_OWN_BINS = 3;
/**
 * The wall has many points, and the outline bends sharply near corners, where the mean over neighbouring bins would lie off it: one bin does as long as it holds this
 * many points.
 */
const LEAST_WALL_BINS = 0;
const WALL_POINTS = 9;
const MOST_OWN_BINS = 9;
/** Points near the crest that a station's own window should hold. */
const OWN_POINTS = 9;
const SHAPE_BINS = 13;
/** Half-widths of the windows round wall and crest, mm × scale of the edge: within them a half-round edge of 4 mm and the crest between roundover and channel
 * are cubics to a few micrometres; wider ones take in the roundover. */
const WALL_HALF = 1.1;
const CREST_HALF = 1.05;
const OWN_CREST_HALF = 0.8;
/** Where the wall's outermost line and the crest may lie: heights below the crest, distance inward of the outline, mm × scale of the edge. */
const WALL_SEARCH = { from: -3.8, to: -0.6 };
const CREST_SEARCH = { from: 0.4, to: 6 };
/** Where there is no channel the definition takes the surface this far inside the outline, mm × size. */
const NO_CHANNEL = 2.5;

export interface RimOfSide {
  readonly stations: readonly RimStation[];
  /** Stations whose profile had a crest, and those where the surface at 2.5 mm had to stand for it. */
  readonly withCrest: number;
  readonly withoutChannel: number;
  /** Robust scatter of points about wall and crest profiles, mm. */
  readonly scatter: number;
}

/**
 * Outline and crest of one side, station by station (each bin is one).
 *
 * @param facets  edge of coarse facets that the points lie on, mm; 0 where the scan is fine
 */
export function rimStations(rim: RimSide, size: number, facets: number): RimOfSide {
  const edge = edgeScale(size);
  const own = { crest: crestBins(rim, edge), wall: wallBins(rim, edge) };
  const reach = Math.max(SHAPE_BINS, 3 * own.crest);
  const usual = usualInset(rim, edge, reach);
  const stations: RimStation[] = [];
  let withCrest = 0;
  let withoutChannel = 0;
  const scatters: number[] = [];
  for (let b = 0; b < rim.x.length; b++) {
    if (Number.isNaN(rim.nx[b])) continue;
    const pooled = shapesAt(rim, b, edge, reach);
    if (pooled === undefined) continue;
    const shape = Math.abs((pooled.crest?.at ?? usual) - usual) < OTHER_INSET * edge ? pooled : { ...pooled, crest: undefined };
    if (!Number.isNaN(shape.scatter)) scatters.push(shape.scatter);
    const station = stationAt(rim, b, size, shape, own);
    if (station === undefined) continue;
    stations.push(station);
    if (!Number.isNaN(station.crestZ)) {
      withCrest++;
      if (shape.crest === undefined) withoutChannel++;
    }
  }
  return {
    stations: filledOutline(stations, rim, size, facets),
    withCrest,
    withoutChannel,
    scatter: scatters.length > 0 ? quantile(scatters, 0.5) : NaN,
  };
}

/** A crest this far from where most of the rim has it, mm × scale of the edge, is none: the arch beyond a shallow channel, in a scan that shows little of either. */
const OTHER_INSET = 1.6;

/** Median distance of the crest from the outline, mm; NaN where none is seen. */
function usualInset(rim: RimSide, edge: number, reach: number): number {
  const insets: number[] = [];
  for (let b = 0; b < rim.x.length; b += SHAPE_EVERY) {
    const at = Number.isNaN(rim.nx[b]) ? undefined : shapesAt(rim, b, edge, reach)?.crest?.at;
    if (at !== undefined) insets.push(at);
  }
  return insets.length > 0 ? quantile(insets, 0.5) : NaN;
}

/** Share of stations whose wall must be seen; a scan with fewer shows edges too coarsely for walls, and then the outermost points must do. */
const WALLS_SEEN = 0.5;
/** How well the outermost points of a coarse edge tell its outline, mm × size: an edge of facets longer than it is thick has no wall of its own. */
const OUTERMOST_U = 0.5;

function filledOutline(stations: readonly RimStation[], rim: RimSide, size: number, facets: number): readonly RimStation[] {
  const seen = stations.filter((s) => !Number.isNaN(s.x)).length;
  if (facets === 0 && seen >= WALLS_SEEN * stations.length) return stations;
  return stations.map((s) =>
    Number.isNaN(s.x)
      ? { ...s, x: rim.x[s.bin], y: rim.side * rim.y[s.bin], z: -WALL_MIDDLE * edgeScale(size), outlineU: OUTERMOST_U * size }
      : s,
  );
}

interface Shapes {
  readonly wall: ExtremumProfile | undefined;
  readonly crest: ExtremumProfile | undefined;
  readonly scatter: number;
}

const cache = new WeakMap<RimSide, Map<number, Shapes | undefined>>();
/** Shapes are pooled over ± 26 mm: worked out at every fourth bin. */
const SHAPE_EVERY = 4;

function shapesAt(rim: RimSide, bin: number, edge: number, reach: number): Shapes | undefined {
  const known = cache.get(rim) ?? new Map<number, Shapes | undefined>();
  cache.set(rim, known);
  const b = Math.min(rim.x.length - 1, Math.round(bin / SHAPE_EVERY) * SHAPE_EVERY);
  if (!known.has(b)) known.set(b, pooledShapes(rim, b, edge, reach));
  return known.get(b);
}

function pooledShapes(rim: RimSide, b: number, edge: number, reach: number): Shapes | undefined {
  const from = rim.starts[Math.max(0, b - reach)];
  const to = rim.starts[Math.min(rim.x.length, b + reach + 1)];
  if (to - from < 30) return undefined;
  const every = Math.max(1, Math.floor((to - from) / MOST_POOLED));
  const s = thinned(rim.inward, from, to, every);
  const z = thinned(rim.height, from, to, every);
  const facing = thinned(rim.facing, from, to, every);
  const top = upperProfile(s, z, facing, edge);
  if (top === undefined) return undefined;
  const crest =
    top.crestAt === undefined
      ? undefined
      : onlyUpper(s, z, facing, top, (u, v) => extremumProfile(u, v, 'greatest', top.crestAt as number, CREST_HALF * edge));
  const wall = wallProfile(s, z, top.level, edge);
  return { wall, crest, scatter: crest?.scatter ?? wall?.scatter ?? NaN };
}

/** Points for one pooled shape: it is then known to a few micrometres, and more would only cost time. */
const MOST_POOLED = 900;

function thinned(v: Float64Array, from: number, to: number, every: number): Float64Array {
  const out = new Float64Array(Math.ceil((to - from) / every));
  for (let i = 0; i < out.length; i++) out[i] = v[from + i * every];
  return out;
}

interface UpperProfile {
  readonly cell: number;
  readonly heights: readonly number[];
  /** Highest level of the profile outside the channel. */
  readonly level: number;
  readonly crestAt: number | undefined;
}

/** Cells across the edge, mm × scale of the edge. */
const CELL = 0.4;
/** A channel must lie this much below the crest to be one, mm × scale of the edge; noise is averaged over dozens of points. */
const CHANNEL_DEPTH = 0.06;

/** |n_z| of what faces up, noise of normals included; ribs and wall, of which there are many points, do not. */
const FACES_UP = 0.55;

/** Upper envelope of the edge's section: the 85th percentile of heights cell by cell (the underside and ribs lie far below). */
function upperProfile(s: Float64Array, z: Float64Array, facing: Float64Array, edge: number): UpperProfile | undefined {
  const cell = CELL * edge;
  const heights = upperHeights(s, z, facing, cell);
  let best = -1;
  heights.forEach((h, c) => {
    const at = (c + 0.5) * CELL;
    if (at < CREST_SEARCH.from || at > CREST_SEARCH.to || Number.isNaN(h)) return;
    const isPeak = !(heights[c - 1] > h) && !(heights[c + 1] > h);
    const later = Math.min(...heights.slice(c + 1, c + 12).filter((v) => !Number.isNaN(v)));
    if ((best < 0 || h > heights[best]) && isPeak && h - later > CHANNEL_DEPTH * edge) best = c;
  });
  const inner = heights.slice(3, 10).filter((v) => !Number.isNaN(v));
  if (inner.length === 0) return undefined;
  return { cell, heights, level: best >= 0 ? heights[best] : Math.max(...inner), crestAt: best >= 0 ? (best + 0.5) * cell : undefined };
}

/** Cells across the edge, and points that one must hold. */
const CELLS = 20;
const FEWEST_IN_CELL = 3;

/** 85th percentile of the heights of what faces up, cell by cell; NaN where there is too little. */
function upperHeights(s: Float64Array, z: Float64Array, facing: Float64Array, cell: number): number[] {
  const cellOf = (i: number): number => (facing[i] > FACES_UP ? Math.floor(s[i] / cell) : -1);
  const starts = new Int32Array(CELLS + 1);
  for (let i = 0; i < s.length; i++) {
    const c = cellOf(i);
    if (c >= 0 && c < CELLS) starts[c + 1]++;
  }
  for (let c = 0; c < CELLS; c++) starts[c + 1] += starts[c];
  const sorted = new Float64Array(starts[CELLS]);
  const next = starts.slice();
  for (let i = 0; i < s.length; i++) {
    const c = cellOf(i);
    if (c >= 0 && c < CELLS) sorted[next[c]++] = z[i];
  }
  return Array.from({ length: CELLS }, (_, c) =>
    starts[c + 1] - starts[c] < FEWEST_IN_CELL ? NaN : quantile(sorted.subarray(starts[c], starts[c + 1]), 0.85),
  );
}

/**
 * Keeps what lies on the upper surface near the crest's level: farther below it the roundover falls away steeply, and a cubic through both would follow
 * neither; mm × scale of the edge.
 */
const SKIN = 0.4;
function onlyUpper<T>(s: Float64Array, z: Float64Array, facing: Float64Array, top: UpperProfile, use: (u: number[], v: number[]) => T): T {
  const u: number[] = [];
  const v: number[] = [];
  for (let i = 0; i < s.length; i++) {
    if (facing[i] > FACES_UP && Math.abs(z[i] - top.level) < SKIN * (top.cell / CELL)) {
      u.push(s[i]);
      v.push(z[i]);
    }
  }
  return use(u, v);
}

function wallProfile(s: Float64Array, z: Float64Array, level: number, edge: number): ExtremumProfile | undefined {
  const u: number[] = [];
  const v: number[] = [];
  for (let i = 0; i < s.length; i++) {
    const h = (z[i] - level) / edge;
    if (s[i] < 1.6 * edge && h > -5 && h < -0.1) {
      u.push(z[i]);
      v.push(s[i]);
    }
  }
  const wall = extremumProfile(u, v, 'least', level - 1.8 * edge, WALL_HALF * edge);
  if (wall === undefined) return undefined;
  const depth = (wall.at - level) / edge;
  return depth > WALL_SEARCH.from && depth < WALL_SEARCH.to ? wall : undefined;
}

function stationAt(rim: RimSide, b: number, size: number, shape: Shapes, own: OwnBins): RimStation | undefined {
  const edge = edgeScale(size);
  const [from, to] = pointsOf(rim, b, own.crest);
  const wall =
    shape.wall === undefined
      ? plainWall(rim, from, to, shape, edge)
      : (wallAbout(rim, b, own.wall, shape.wall, edge) ?? wallAbout(rim, b, own.crest, shape.wall, edge));
  const crest =
    shape.crest === undefined
      ? surfaceInside(rim, from, to, size, 2 * own.crest + 1)
      : meanAbout(rim.inward, rim.height, from, to, shape.crest, OWN_CREST_HALF * edge, 2 * own.crest + 1);
  if (wall === undefined && crest === undefined) return undefined;
  const inset = shape.crest?.at ?? NO_CHANNEL * size;
  const shift = wall?.value ?? 0;
  return {
    bin: b,
    side: rim.side,
    x: wall === undefined ? NaN : rim.x[b] - shift * rim.nx[b],
    y: wall === undefined ? NaN : rim.side * (rim.y[b] - shift * rim.ny[b]),
    z: shape.wall?.at ?? (shape.crest?.peak ?? 0) - WALL_MIDDLE * edge,
    outlineU: wall?.u ?? NaN,
    nx: rim.nx[b],
    ny: rim.side * rim.ny[b],
    crestX: rim.x[b] - inset * rim.nx[b],
    crestY: rim.side * (rim.y[b] - inset * rim.ny[b]),
    crestZ: crest?.value ?? NaN,
    crestU: crest?.u ?? NaN,
    corner: rim.corner[b] !== 0,
    channel: shape.crest !== undefined,
  };
}

/** Points farther off than this share of the window lie on another surface: the underside of an edge lies 3 mm below its crest. */
const OTHER_SURFACE = 0.8;
/** Fewest points for a mean of one station. */
const FEWEST = 4;

function wallAbout(rim: RimSide, b: number, reach: number, shape: ExtremumProfile, edge: number) {
  const [from, to] = pointsOf(rim, b, reach);
  return meanAbout(rim.height, rim.inward, from, to, shape, WALL_HALF * edge, 2 * reach + 1);
}

interface OwnBins {
  readonly crest: number;
  readonly wall: number;
}

/** Index range of the points within some bins of a station. */
const pointsOf = (rim: RimSide, b: number, reach: number): readonly [number, number] => [
  rim.starts[Math.max(0, b - reach)],
  rim.starts[Math.min(rim.x.length, b + reach + 1)],
];

/** Bins on each side that a station needs to hold enough points: more on decimated meshes. */
function crestBins(rim: RimSide, edge: number): number {
  const near = rim.inward.reduce((n, s) => n + (s > 0.4 * edge && s < (0.4 + 2 * CREST_HALF) * edge ? 1 : 0), 0);
  return binsFor(rim, near, OWN_POINTS, LEAST_OWN_BINS);
}

function wallBins(rim: RimSide, edge: number): number {
  const near = rim.inward.reduce((n, s, i) => n + (rim.facing[i] < FACES_UP && Math.abs(s) < WALL_HALF * edge ? 1 : 0), 0);
  return binsFor(rim, near, WALL_POINTS, LEAST_WALL_BINS);
}

function binsFor(rim: RimSide, points: number, wanted: number, least: number): number {
  const seenBins = rim.nx.reduce((n, v) => n + (Number.isNaN(v) ? 0 : 1), 0);
  const bins = Math.ceil((wanted / Math.max(0.1, points / Math.max(1, seenBins)) - 1) / 2);
  return Math.max(least, Math.min(MOST_OWN_BINS, bins));
}

/**
 * Mean of v − shape(u) over the points of some bins near the extremum, trimmed against the shape's scatter. Each point serves `overlap` stations:
 * what is drawn independently for each must be that much noisier for sums over them to come out right.
 */
function meanAbout(u: Float64Array, v: Float64Array, from: number, to: number, shape: ExtremumProfile, half: number, overlap: number) {
  const r: number[] = [];
  for (let i = from; i < to; i++) {
    if (Math.abs(u[i] - shape.at) > half) continue;
    const value = v[i] - offPeak(shape, u[i]);
    if (Math.abs(value - shape.peak) < OTHER_SURFACE * half) r.push(value);
  }
  if (r.length < FEWEST) return undefined;
  const middle = quantile(r, 0.5);
  // Stations differ from the pooled shape by real warp: the window is generous, it only drops other surfaces.
  const spread = Math.max(
    4 * shape.scatter,
    3 *
      1.4826 *
      quantile(
        r.map((x) => Math.abs(x - middle)),
        0.5,
      ),
  );
  const kept = r.filter((x) => Math.abs(x - middle) < spread);
  if (kept.length < FEWEST) return undefined;
  const value = kept.reduce((a, x) => a + x, 0) / kept.length;
  return { value, u: shape.scatter * Math.sqrt(overlap / kept.length) };
}

/** Middle of the edge's thickness below its crest, mm × scale of the edge (edges are 3.5–5 mm thick; common practice, no source), and the half-height taken there. */
const WALL_MIDDLE = 1.8;
const WALL_BAND = 0.9;
/** How far the mean of a rounded wall over that band may lie inside its outermost line, mm × scale of the edge. */
const WALL_SAG = 0.08;

/** The outline where points are too few for the wall's profile: mean of what faces sideways at half the edge's thickness. */
function plainWall(rim: RimSide, from: number, to: number, shape: Shapes, edge: number) {
  const middle = (shape.crest?.peak ?? 0) - WALL_MIDDLE * edge;
  const r: number[] = [];
  for (let i = from; i < to; i++) {
    if (rim.facing[i] < FACES_UP && Math.abs(rim.height[i] - middle) < WALL_BAND * edge && rim.inward[i] < 1.8 * edge)
      r.push(rim.inward[i]);
  }
  if (r.length < FEWEST) return undefined;
  const centre = quantile(r, 0.5);
  const scatter =
    1.4826 *
    quantile(
      r.map((x) => Math.abs(x - centre)),
      0.5,
    );
  const kept = r.filter((x) => Math.abs(x - centre) <= 3 * scatter);
  const value = kept.reduce((a, x) => a + x, 0) / kept.length;
  return { value, u: Math.hypot(scatter / Math.sqrt(kept.length), WALL_SAG * edge) };
}

function surfaceInside(rim: RimSide, from: number, to: number, size: number, overlap: number) {
  const r: number[] = [];
  for (let i = from; i < to; i++)
    if (rim.facing[i] > FACES_UP && Math.abs(rim.inward[i] - NO_CHANNEL * size) < 0.8 * size) r.push(rim.height[i]);
  if (r.length < FEWEST) return undefined;
  const middle = quantile(r, 0.5);
  const scatter =
    1.4826 *
    quantile(
      r.map((x) => Math.abs(x - middle)),
      0.5,
    );
  const kept = r.filter((x) => Math.abs(x - middle) <= 3 * scatter);
  // How far inside the outline it lies is only known to some tenths, and the surface slopes there.
  return { value: kept.reduce((a, x) => a + x, 0) / kept.length, u: Math.hypot(scatter * Math.sqrt(overlap / kept.length), 0.1 * size) };
}
