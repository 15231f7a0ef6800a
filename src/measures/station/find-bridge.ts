import { quantile } from '../../numerics/statistics.ts';
import type { Workpiece } from '../family.ts';
import { fitRobustSurface, type RobustSurface } from '../fit-robust-surface.ts';
import { pointsInBox } from '../points-in-box.ts';

/** A bridge that stands on the top. Working frame, mm. */
export interface Bridge {
  /** Its tail-side face; undefined where too little of it is seen. */
  readonly tailFace: RobustSurface | undefined;
  /** x of both faces where the feet stand on the top, and the height there; a face that is not seen is NaN. */
  readonly tailFoot: number;
  readonly boardFoot: number;
  readonly footHeight: number;
  /** Points of the crown: its upper edge between the strings. */
  readonly crown: Uint32Array;
  /** Whether they stand on the crown itself, or (a coarse scan) on either of its edges. */
  readonly crownSeen: 'level' | 'edge';
  /** Points of the top on either side of the feet, near the centreline. */
  readonly top: RobustSurface | undefined;
}

/** Shares of the body's length between which a bridge stands. The board ends before, the tailpiece begins behind. */
const FROM = 0.46;
const TO = 0.64;
/**
 * mm × size. Half the width of a bridge's feet and the heights over the edge plane that it fills, generously: crowns stand 45 to 50 mm over the edges of a
 * violin, 50 to 65 by this scale on a cello, and up to 85 on a bass, whose strings pass high over the edges for the bow.
 */
const HALF_WIDTH = 25;
const LOWEST = 8;
export const HIGHEST = 105;
/** Cosine to the long axis: the faces lean and taper by less than 15°. */
const FACE_COSINE = 0.93;
/** Slopes dx/dz that are tried for the bridge as a whole. */
const LEANS = Array.from({ length: 11 }, (_, k) => -0.15 + 0.03 * k);
/** mm × size. A bridge is thinner than this at its feet and thicker at its crown. */
const THICKEST = 6.5;
/** mm² × size². Area that its faces must show: a fifth of one face. */
const LEAST_AREA = 110;
/** mm × size. A bridge is taller and wider than this. */
const LEAST_TALL = 12;
const LEAST_WIDE = 22;
/** mm × size. Height of the bands in which the faces are first told apart, and how often points may then change sides. */
const BAND = 4;
const REASSIGNMENTS = 4;
/** mm × size. The crown is looked at between the inner strings, which are 11 mm apart on a violin, 7 by this scale on a cello. */
const CROWN_HALF_WIDTH = 2.8;
/** Spacings of points, at least, in that half width. */
const CROWN_SPACINGS = 3;
/** The crown of a bridge with a straight tail side lies at the edge of the slab that holds its faces, half of `THICKEST` behind its middle. */
const CROWN_HALF_DEPTH = 3.6;
const CROWN_COSINE = 0.6;
/** mm × size. Points of the crown's rounded edge lie lower than this below it. */
const CROWN_REACH = 0.35;
/** mm × size. The crown is not farther than this below the highest points of the faces. */
const CROWN_BELOW = 2;
const FEWEST_ON_CROWN = 3;
/** mm × size. A crown is 1.3 mm thick: with a wider spacing than this hardly a point stands on it. */
const FINE = 0.8;
/** mm × size. The lower part of the faces, above the top, that tells where the feet stand; and how far out the feet are. */

const FOOT_TO = 8;
const FOOT_NEAREST = 9;
/** mm × size. Top beside the feet: nearest and farthest from the station, and half its width. */
const TOP_NEAREST = 4.5;
const TOP_FARTHEST = 16;
const TOP_HALF_WIDTH = 9;
/** mm × size. The top rises and falls by less than this there; a plate is thicker. */
const LAYER = 2;

/** @returns undefined where no bridge stands on the top */
export function findBridge(work: Workpiece): Bridge | undefined {
  const { cloud, size, bodyLength } = work;
  const p = cloud.positions;
  const y = HALF_WIDTH * size;
  const box = { x: [FROM * bodyLength, TO * bodyLength], y: [-y, y], z: [LOWEST * size, HIGHEST * size] } as const;
  const ids = pointsInBox(cloud, box);
  const faces = ids.filter((i) => Math.abs(cloud.normals[3 * i]) > FACE_COSINE);
  const slab = densestSlab(work, faces);
  if (slab === undefined) return undefined;
  const at = (i: number): number => p[3 * i] - slab.lean * p[3 * i + 2] - slab.x;
  const own = faces.filter((i) => Math.abs(at(i)) < (THICKEST / 2) * size);
  if (!standsLikeABridge(work, own)) return undefined;
  const top = topBeside(work, slab);
  const [boardSide, tailSide] = splitFaces(work, own, at);
  const tailFace = planeThrough(work, tailSide);
  const boardFace = planeThrough(work, boardSide);
  const height = (x: number): number => top?.fit.value(x, 0) ?? NaN;
  const footHeight = height(slab.x + slab.lean * LOWEST * size);
  return {
    tailFace,
    tailFoot: footOf(work, tailFace, footHeight),
    boardFoot: footOf(work, boardFace, footHeight),
    footHeight,
    ...crownOf(work, ids, own, at),
    top,
  };
}

interface Slab {
  readonly x: number;
  readonly lean: number;
}

/** The slab, as thick as a bridge, that holds most area of faces; undefined where it holds too little. x is its middle at z = 0. */
function densestSlab(work: Workpiece, ids: Uint32Array): Slab | undefined {
  const { cloud, size } = work;
  const p = cloud.positions;
  let best: (Slab & { area: number }) | undefined;
  for (const lean of LEANS) {
    const rows = Array.from(ids, (i) => ({ x: p[3 * i] - lean * p[3 * i + 2], area: cloud.areas[i] })).sort((a, b) => a.x - b.x);
    let from = 0;
    let area = 0;
    for (const row of rows) {
      area += row.area;
      while (row.x - rows[from].x > THICKEST * size) area -= rows[from++].area;
      if (best === undefined || area > best.area) best = { x: (row.x + rows[from].x) / 2, lean, area };
    }
  }
  return best !== undefined && best.area >= LEAST_AREA * size * size ? best : undefined;
}

/** Whether faces reach as high and as wide as those of a bridge: board ends and tailpieces do not. */
function standsLikeABridge(work: Workpiece, ids: Uint32Array): boolean {
  const p = work.cloud.positions;
  const across = Float64Array.from(ids, (i) => p[3 * i + 1]);
  const heights = Float64Array.from(ids, (i) => p[3 * i + 2]);
  const span = (v: Float64Array): number => quantile(v, 0.98) - quantile(v, 0.02);
  return span(across) > LEAST_WIDE * work.size && span(heights) > LEAST_TALL * work.size;
}

/** Points of the face towards the board and of the face towards the tail. */
function splitFaces(work: Workpiece, ids: Uint32Array, at: (i: number) => number): [Uint32Array, Uint32Array] {
  const { cloud } = work;
  // First the middle between both ends in bands of height (a bridge tapers), then by the nearer of both planes.
  const band = BAND * work.size;
  const ends = new Map<number, [number, number]>();
  const bandOf = (i: number): number => Math.floor(cloud.positions[3 * i + 2] / band);
  for (const i of ids) {
    const e = ends.get(bandOf(i));
    const v = at(i);
    if (e === undefined) ends.set(bandOf(i), [v, v]);
    else {
      e[0] = Math.min(e[0], v);
      e[1] = Math.max(e[1], v);
    }
  }
  const middle = (i: number): number => {
    const [low, high] = ends.get(bandOf(i)) as [number, number];
    return (low + high) / 2;
  };
  let parts: [Uint32Array, Uint32Array] = [ids.filter((i) => at(i) < middle(i)), ids.filter((i) => at(i) >= middle(i))];
  for (let round = 0; round < REASSIGNMENTS; round++) {
    const planes = parts.map((part) => planeThrough(work, part));
    const [board, tail] = planes;
    if (board === undefined || tail === undefined) break;
    const off = (i: number, plane: RobustSurface): number =>
      Math.abs(cloud.positions[3 * i] - plane.fit.value(cloud.positions[3 * i + 2], cloud.positions[3 * i + 1]));
    parts = [ids.filter((i) => off(i, board) < off(i, tail)), ids.filter((i) => off(i, board) >= off(i, tail))];
  }
  return parts;
}

function planeThrough(work: Workpiece, ids: Uint32Array): RobustSurface | undefined {
  return fitRobustSurface(
    work.cloud,
    ids,
    { out: 0, a: 2, b: 1, degreeA: 1, degreeB: 1, total: 1 },
    Math.max(work.sigma, 0.05 * work.size),
  );
}

/** x of a face where it meets the top: a straight line through the face's lower part at the feet. */
function footOf(work: Workpiece, face: RobustSurface | undefined, height: number): number {
  if (face === undefined || Number.isNaN(height)) return NaN;
  const { cloud, size } = work;
  const p = cloud.positions;
  const low = face.ids.filter((i) => {
    const above = p[3 * i + 2] - height;
    return above > -FOOT_TO * size && above < FOOT_TO * size && Math.abs(p[3 * i + 1]) > FOOT_NEAREST * size;
  });
  const line = fitRobustSurface(cloud, low, { out: 0, a: 2, b: 1, degreeA: 1, degreeB: 1, total: 1 }, Math.max(work.sigma, 0.05 * size));
  return (line ?? face).fit.value(height, 0);
}

/** Upper edge in the middle, between the inner strings: points that face up, the highest layer of them. */
function crownOf(work: Workpiece, ids: Uint32Array, own: Uint32Array, at: (i: number) => number): Pick<Bridge, 'crown' | 'crownSeen'> {
  const { cloud, size } = work;
  const p = cloud.positions;
  const across = Float64Array.from(own, (i) => p[3 * i + 1]);
  const middle = (quantile(across, 0.02) + quantile(across, 0.98)) / 2;
  const half = Math.max(CROWN_HALF_WIDTH * size, CROWN_SPACINGS * work.spacing);
  const nothing = { crown: new Uint32Array(0), crownSeen: 'edge' } as const;
  const central = own.filter((i) => Math.abs(p[3 * i + 1] - middle) < 3 * half);
  if (central.length < FEWEST_ON_CROWN) return nothing;
  const below =
    quantile(
      Float64Array.from(central, (i) => p[3 * i + 2]),
      0.98,
    ) -
    CROWN_BELOW * size;
  const near = ids.filter(
    (i) => p[3 * i + 2] > below && Math.abs(at(i)) < CROWN_HALF_DEPTH * size && Math.abs(p[3 * i + 1] - middle) < half,
  );
  const level = near.filter((i) => Math.abs(cloud.normals[3 * i + 2]) > CROWN_COSINE);
  if (work.spacing < FINE * size && level.length >= FEWEST_ON_CROWN) {
    const heights = Float64Array.from(level, (i) => p[3 * i + 2]).sort();
    // The highest but one: a single outlier does not lift it.
    const high = heights[heights.length - 2];
    const crown = level.filter((i) => Math.abs(p[3 * i + 2] - high) < CROWN_REACH * size + 3 * work.sigma);
    return { crown, crownSeen: 'level' };
  }
  // Hardly any point faces up: the spacing is as wide as the crown. The highest points stand on its edge.
  const highest = near.sort((i, j) => p[3 * j + 2] - p[3 * i + 2]).slice(0, FEWEST_ON_CROWN);
  const crown = highest.filter((i) => p[3 * highest[0] + 2] - p[3 * i + 2] < 2 * CROWN_REACH * size);
  return crown.length < 2 ? nothing : { crown, crownSeen: 'edge' };
}

function topBeside(work: Workpiece, slab: Slab): RobustSurface | undefined {
  const { cloud, size } = work;
  const p = cloud.positions;
  const y = TOP_HALF_WIDTH * size;
  const middle = slab.x + slab.lean * 12 * size;
  const box = { x: [middle - TOP_FARTHEST * size, middle + TOP_FARTHEST * size], y: [-y, y], z: [2 * size, 28 * size] } as const;
  const near = pointsInBox(cloud, box, { axis: 'z', least: 0.9 }).filter((i) => Math.abs(p[3 * i] - middle) > TOP_NEAREST * size);
  if (near.length < 20) return undefined;
  const height = highestLayer(work, near);
  const model = { out: 2, a: 0, b: 1, degreeA: 2, degreeB: 2, total: 2 };
  return fitRobustSurface(cloud, near, model, Math.max(work.sigma, 0.02 * size), { value: () => height, reach: LAYER * size });
}

/** Height of the highest layer that holds at least half as much area as the densest: strings hold less, the inside of the plate lies below. */
function highestLayer(work: Workpiece, ids: Uint32Array): number {
  const { cloud, size } = work;
  const p = cloud.positions;
  const sorted = Array.from(ids).sort((i, j) => p[3 * j + 2] - p[3 * i + 2]);
  const areas: number[] = [];
  const middles: number[] = [];
  let to = 0;
  let area = 0;
  for (const i of sorted) {
    while (to < sorted.length && p[3 * i + 2] - p[3 * sorted[to] + 2] <= LAYER * size) area += cloud.areas[sorted[to++]];
    areas.push(area);
    middles.push((p[3 * i + 2] + p[3 * sorted[to - 1] + 2]) / 2);
    area -= cloud.areas[i];
  }
  const most = Math.max(...areas);
  return middles[areas.findIndex((a) => a >= most / 2)];
}
