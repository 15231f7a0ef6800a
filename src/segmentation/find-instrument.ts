import type { Cloud } from '../geometry/cloud.ts';
import { InputError } from '../geometry/input-error.ts';
import { applyToDirections, applyToPoints, compose, type Motion, motionFromAxes } from '../geometry/motion.ts';
import { add, cross, dot, scale, unit, type Vec3 } from '../geometry/vec3.ts';
import type { Random } from '../numerics/random.ts';
import { thinCloud } from '../cloud/thin-cloud.ts';
import { selectPoints } from '../cloud/select-points.ts';
import { components } from './components.ts';
import { type RimPlane, rimPlanes } from './edge-levels.ts';
import { type FrontEvidence, frontEvidence } from './front-evidence.ts';
import { matchTemplate, type TemplateMatch } from './match-template.ts';
import { planProfile } from './plan-profile.ts';
import { type Axis, silhouette, symmetryAxes } from './plan-silhouette.ts';
import { planeAxes, plateDirections } from './plate-direction.ts';
import { supportPlane } from './support-plane.ts';

/** Where the instrument lies in a scan, to about 1 % of its length and a degree; still in the scan's unit. */
export interface FoundInstrument {
  /** Cloud coordinates → x from the joint to the tail, y treble, z out of the top with 0 at its edge; the cloud's unit. */
  readonly motion: Motion;
  readonly bodyLength: number;
  /** Distance from the top's edge to the back's, share of body length; near 0 when only one plate is seen. */
  readonly bodyDepth: number;
  readonly match: TemplateMatch;
  readonly symmetry: number;
  readonly front: FrontEvidence;
  /** Thinned points that belong to the instrument, in the found frame. */
  readonly thinned: Cloud;
  /** Planes and pieces that were taken away as not belonging to it. */
  readonly takenAway: Readonly<Record<string, number>>;
}

/** Thinning: cells of this share of the scan's diagonal (about 3 mm on a whole violin). */
const THIN_CELL = 0.005;
/** Pieces are one when closer than this share of the diagonal: strings, bridge and rests stay with the body. */
const PIECE_CELL = 0.018;
/** A template that fits worse than this (mean misfit, share of body length) is no instrument: guitars, bottles, rabbits give 0.035 and more. */
const WORST_COST = 0.028;
/** Mirror symmetry of the silhouette that an instrument reaches even with chin rest and one-sided views. */
const LEAST_SYMMETRY = 0.7;
/** Evidence for the front below this is a guess. */
const LEAST_EVIDENCE = 0.9;
/** Plates of a front-only scan: their edge is thinner than this share of body length. */
const TABLES = 3;

/**
 * Finds a violin-family instrument from its geometry alone: what does not belong is taken away, the plates' common normal and the axis of mirror
 * symmetry give a frame but for signs, a body template the length and the way round, board and neck the front.
 *
 * @throws {InputError} `no-instrument`, with what was missing
 */
export function findInstrument(cloud: Cloud, random: Random): FoundInstrument {
  const { thinned, takenAway } = isolate(cloud, random);
  if (thinned.count < 60) throw new InputError('no-instrument', 'too few surface points for an instrument; is this the right file?');
  const candidates: FoundInstrument[] = [];
  const reasons: string[] = [];
  for (const z of plateDirections(thinned)) {
    for (const found of candidatesFor(thinned, z, takenAway, reasons)) candidates.push(found);
    // The first direction is right but for the oddest scans: the others are only asked when it fails.
    if (candidates.some((c) => c.match.cost < WORST_COST)) break;
  }
  candidates.sort((a, b) => score(b) - score(a));
  const best = candidates[0];
  if (best === undefined) throw new InputError('no-instrument', `no violin-family body was found (${reasons[0] ?? 'no outline fits'}); if there is one, cut the scan to it`);
  refuseDoubtful(best);
  return best;
}

const score = (c: FoundInstrument): number => -60 * c.match.cost + 2 * c.symmetry;

function refuseDoubtful(best: FoundInstrument): void {
  if (best.match.cost > WORST_COST || best.symmetry < LEAST_SYMMETRY) {
    throw new InputError('no-instrument', 'no outline in this scan fits a violin-family body; if there is one, cut the scan to it');
  }
  if (best.front.total < LEAST_EVIDENCE) {
    throw new InputError('no-instrument', "front and back cannot be told apart: neither board, neck root nor bridge is seen clearly; scan more of the neck");
  }
}

function isolate(cloud: Cloud, random: Random): { thinned: Cloud; takenAway: Record<string, number> } {
  let thinned = thinCloud(strided(cloud), THIN_CELL * diagonalOf(cloud));
  const takenAway: Record<string, number> = {};
  for (let k = 0; k < TABLES; k++) {
    const main = largestPiece(thinned);
    if (main.count < thinned.count) takenAway.separatePieces = (takenAway.separatePieces ?? 0) + thinned.count - main.count;
    thinned = main;
    const plane = supportPlane(thinned, diagonalOf(thinned), random.fork(`support ${k}`));
    if (plane === undefined) break;
    takenAway.supports = (takenAway.supports ?? 0) + 1;
    thinned = withoutPlane(thinned, plane.normal, plane.offset, diagonalOf(thinned));
  }
  return { thinned, takenAway };
}

/** Points that the coarse search looks at: four and more for each of its cells. */
const MOST_LOOKED_AT = 150_000;

/** Every k-th point, each standing for k times its area. */
function strided(cloud: Cloud): Cloud {
  const every = Math.floor(cloud.count / MOST_LOOKED_AT);
  if (every < 2) return cloud;
  const count = Math.floor(cloud.count / every);
  const positions = new Float32Array(3 * count);
  const normals = new Float32Array(3 * count);
  const areas = new Float32Array(count);
  for (let j = 0; j < count; j++) {
    const i = j * every;
    for (let k = 0; k < 3; k++) {
      positions[3 * j + k] = cloud.positions[3 * i + k];
      normals[3 * j + k] = cloud.normals[3 * i + k];
    }
    areas[j] = every * cloud.areas[i];
  }
  return { count, positions, normals, areas, oriented: cloud.oriented };
}

/** What lies under the table's surface or within this share of the diagonal of it goes with it. */
const TABLE_SKIN = 0.006;

function withoutPlane(cloud: Cloud, normal: Vec3, offset: number, diagonal: number): Cloud {
  const p = cloud.positions;
  const height = (i: number) => normal[0] * p[3 * i] + normal[1] * p[3 * i + 1] + normal[2] * p[3 * i + 2] - offset;
  let side = 0;
  for (let i = 0; i < cloud.count; i++) side += Math.sign(height(i)) * (Math.abs(height(i)) > 2 * TABLE_SKIN * diagonal ? cloud.areas[i] : 0);
  const keep = new Uint8Array(cloud.count);
  for (let i = 0; i < cloud.count; i++) keep[i] = height(i) * Math.sign(side || 1) > TABLE_SKIN * diagonal ? 1 : 0;
  return selectPoints(cloud, keep);
}

function largestPiece(cloud: Cloud): Cloud {
  if (cloud.count === 0) return cloud;
  const { labels } = components(cloud, PIECE_CELL * diagonalOf(cloud));
  return selectPoints(cloud, Uint8Array.from(labels, (l) => (l === 0 ? 1 : 0)));
}

function candidatesFor(thinned: Cloud, z: Vec3, takenAway: Record<string, number>, reasons: string[]): FoundInstrument[] {
  const [u, v] = planeAxes(z);
  const along = project(thinned, u);
  const across = project(thinned, v);
  const plan = silhouette(along, across, 1.4 * THIN_CELL * diagonalOf(thinned));
  const found: FoundInstrument[] = [];
  for (const axis of symmetryAxes(plan)) {
    for (const match of matchTemplate(planProfile(plan, axis))) {
      for (const side of [1, -1] as const) {
        const c = candidate(thinned, [u, v, z], axis, match, side, takenAway);
        if (typeof c === 'string') reasons.push(c);
        else if (c.front.total > 0) found.push(c);
      }
    }
  }
  return found;
}

function candidate(
  thinned: Cloud,
  [u, v, z]: readonly [Vec3, Vec3, Vec3],
  axis: Axis,
  match: TemplateMatch,
  side: 1 | -1,
  takenAway: Record<string, number>,
): FoundInstrument | string {
  const s = match.towardsTail;
  const c = Math.cos(axis.angle);
  const d = Math.sin(axis.angle);
  const alongAxis = add(scale(u, c), scale(v, d));
  const x = scale(alongAxis, s);
  const up = scale(z, side);
  const y = cross(up, x);
  const left = add(scale(u, -d), scale(v, c));
  const origin = add(scale(alongAxis, match.joint), scale(left, axis.offset));
  const first = motionFromAxes(x, y, up, origin);
  const rims = rimPlanes(moved(thinned, first), match.bodyLength);
  if (rims === undefined) return 'the rim of the body is not seen';
  const levelled = compose(levelling(rims.upper), first);
  const points = moved(thinned, levelled);
  const again = rimPlanes(points, match.bodyLength);
  if (again === undefined) return 'the rim of the body is not seen';
  const half = 0.5 * match.bodyLength;
  return {
    motion: levelled,
    bodyLength: match.bodyLength,
    bodyDepth: (again.upper.c + again.upper.a * half - again.lower.c - again.lower.a * half) / match.bodyLength,
    match,
    symmetry: axis.symmetry,
    front: frontEvidence(points, match.bodyLength, again.upper, again.lower),
    thinned: points,
    takenAway,
  };
}

/** The motion that makes a rim's plane z = 0, x kept along the body. */
function levelling(rim: RimPlane): Motion {
  const z = unit([-rim.a, -rim.b, 1]);
  const x = unit([1, 0, rim.a]);
  return motionFromAxes(x, cross(z, x), z, [0, 0, rim.c]);
}

export function moved(cloud: Cloud, motion: Motion): Cloud {
  return {
    ...cloud,
    positions: applyToPoints(motion, cloud.positions, new Float32Array(cloud.positions.length)),
    normals: applyToDirections(motion, cloud.normals, new Float32Array(cloud.normals.length)),
  };
}

function project(cloud: Cloud, axis: Vec3): Float64Array {
  const p = cloud.positions;
  return Float64Array.from({ length: cloud.count }, (_, i) => dot(axis, [p[3 * i], p[3 * i + 1], p[3 * i + 2]]));
}

/** Outliers must not stretch the scale of everything: the box of the inner 99.8 % of points along each axis. */
function diagonalOf(cloud: Cloud): number {
  const step = Math.max(1, Math.floor(cloud.count / 20000));
  let sum = 0;
  for (let k = 0; k < 3; k++) {
    const values: number[] = [];
    for (let i = 0; i < cloud.count; i += step) values.push(cloud.positions[3 * i + k]);
    values.sort((a, b) => a - b);
    const cut = Math.floor(0.001 * values.length);
    sum += (values[values.length - 1 - cut] - values[cut]) ** 2;
  }
  return Math.sqrt(sum);
}
