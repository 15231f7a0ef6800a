import type { Cloud } from '../geometry/cloud.ts';
import { InputError } from '../geometry/input-error.ts';
import { applyToDirections, applyToPoints, compose, type Motion, motionFromAxes } from '../geometry/motion.ts';
import { add, cross, scale, unit, type Vec3 } from '../geometry/vec3.ts';
import type { Random } from '../numerics/random.ts';
import { type RimPlane, rimPlanes } from './edge-levels.ts';
import { type FrontEvidence, frontEvidence } from './front-evidence.ts';
import { innerDiagonal } from './inner-diagonal.ts';
import { isolatePieces, THIN_CELL } from './isolate-pieces.ts';
import { matchTemplate, type TemplateMatch } from './match-template.ts';
import { planProfile } from './plan-profile.ts';
import { type Axis, silhouette, symmetryAxes } from './plan-silhouette.ts';
import { planeAxes, plateDirections } from './plate-direction.ts';
import { waistRatio } from './waist.ts';

/** Where the instrument lies in a scan, to about 1 % of its length and a degree; still in the scan's unit. */
export interface FoundInstrument {
  /** Cloud coordinates → x from the joint to the tail, y treble, z out of the top with 0 at its edge; the cloud's unit. */
  readonly motion: Motion;
  readonly bodyLength: number;
  /** Distance from the top's edge to the back's, share of body length; near 0 when only one plate is seen. */
  readonly bodyDepth: number;
  readonly match: TemplateMatch;
  readonly symmetry: number;
  /** How much better it scores than the best place that lies another way round; Infinity when there is none. */
  readonly margin: number;
  readonly front: FrontEvidence;
  /** Thinned points that belong to the instrument, in the found frame. */
  readonly thinned: Cloud;
  /** Planes and pieces that were taken away as not belonging to it. */
  readonly takenAway: Readonly<Record<string, number>>;
}

/** A template that fits worse than this (mean misfit, share of body length) is no instrument: guitars, bottles, rabbits give 0.035 and more. */
const WORST_COST = 0.028;
/** Mirror symmetry of the silhouette that an instrument reaches even with chin rest and one-sided views. */
const LEAST_SYMMETRY = 0.7;
/** Half a body proves less, so it must fit better: halves of both model instruments give 0.011, a lute taken for an upper half 0.021. */
const WORST_PARTIAL_COST = 0.015;
/** A scan that reaches less of the body than this shows a part of it. */
const WHOLE = 0.9;
/** Waists wider than this share of the upper bout are those of guitars; lutes have none. */
const WIDEST_WAIST = 0.83;
/** Evidence for the front below this is a guess. */
const LEAST_EVIDENCE = 0.9;
/** Votes of joint and neck this strong against each other: a stand, a hand or another body is in the way. */
const STRONG_VOTE = 1;
/**
 * Difference of scores to the best place that lies another way round: right answers on both model instruments have 1.1 and more, beside stands 0.58 and
 * more, wrong ones 0.4 and less.
 */
const LEAST_MARGIN = 0.45;
/** Share of the body that the scan must reach: both halves of the outline are needed for its length. */
const LEAST_REACHED = 0.45;
/** Fewest thinned points that show an instrument. */
const FEWEST_POINTS = 60;

/**
 * Finds a violin-family instrument from its geometry alone: what does not belong is taken away, the plates' common normal and the axis of mirror
 * symmetry give a frame but for signs, a body template the length and the way round, board and neck the front.
 *
 * @throws {InputError} `no-instrument`, with what was missing
 */
export function findInstrument(cloud: Cloud, random: Random): FoundInstrument {
  const { pieces, takenAway } = isolatePieces(cloud, random);
  const whole = pieces.filter((p) => p.count >= FEWEST_POINTS);
  if (whole.length === 0) throw new InputError('no-instrument', 'too few surface points for an instrument; is this the right file?');
  const found: FoundInstrument[] = [];
  const refusals: InputError[] = [];
  for (const piece of whole) {
    try {
      found.push(findInPiece(piece, takenAway));
    } catch (error) {
      if (!(error instanceof InputError)) throw error;
      refusals.push(error);
    }
  }
  if (found.length === 0) throw refusals[0];
  if (found.length > 1) throw new InputError('no-instrument', 'more than one instrument is in the scan: cut it to one');
  return found[0];
}

function findInPiece(thinned: Cloud, takenAway: Readonly<Record<string, number>>): FoundInstrument {
  let places: Place[] = [];
  for (const z of plateDirections(thinned)) {
    places = places.concat(placesFor(thinned, z));
    // The first direction is right but for the oddest scans: the others are only asked when it fails.
    if (places.some((p) => p.match.cost < WORST_COST && p.axis.symmetry > LEAST_SYMMETRY)) break;
  }
  places.sort((a, b) => score(b) - score(a));
  const best = places[0];
  if (best === undefined || best.match.cost > worstCost(best.match) || best.axis.symmetry < LEAST_SYMMETRY || best.waist > WIDEST_WAIST) {
    throw new InputError('no-instrument', 'no outline in this scan fits a violin-family body; if there is one, cut the scan to it');
  }
  const rival = places.find((p) => p !== best);
  const margin = rival === undefined ? Infinity : score(best) - score(rival);
  if (margin < LEAST_MARGIN || best.match.reached < LEAST_REACHED) {
    throw new InputError(
      'no-instrument',
      'the body could lie in this scan in more than one way: too little of it is seen, or something lies beside it; cut the scan to the instrument',
    );
  }
  return { ...levelled(thinned, best), margin, takenAway };
}

/** A way in which the body's template lies on the silhouette seen along a direction. */
interface Place {
  readonly axes: readonly [Vec3, Vec3, Vec3];
  readonly axis: Axis;
  readonly match: TemplateMatch;
  readonly waist: number;
}

const worstCost = (m: TemplateMatch): number => (m.reached < WHOLE ? WORST_PARTIAL_COST : WORST_COST);

const score = (p: Place): number => -60 * p.match.cost + 2 * p.axis.symmetry;

function placesFor(thinned: Cloud, z: Vec3): Place[] {
  const [u, v] = planeAxes(z);
  const plan = silhouette(project(thinned, u), project(thinned, v), thinned.areas, 1.4 * THIN_CELL * innerDiagonal(thinned));
  return symmetryAxes(plan).flatMap((axis) => {
    const profile = planProfile(plan, axis);
    return matchTemplate(profile).map((match) => ({ axes: [u, v, z] as const, axis, match, waist: waistRatio(profile, match) }));
  });
}

/** Levels a place on the rim of its top, front up. */
function levelled(thinned: Cloud, place: Place): Omit<FoundInstrument, 'margin' | 'takenAway'> {
  const { match, axis } = place;
  const upright = moved(thinned, motionOf(place));
  const rims = rimPlanes(upright, match.bodyLength);
  if (rims === undefined) throw new InputError('no-instrument', 'the rim of the body is not seen; scan more of its edge');
  const evidence = frontEvidence(upright, match.bodyLength, rims.upper, rims.lower);
  const over = evidence.total < 0;
  const motion = over ? compose(TURNED_OVER, motionOf(place)) : motionOf(place);
  const points = over ? moved(upright, TURNED_OVER) : upright;
  const upper = over ? turnedOver(rims.lower) : rims.upper;
  const lower = over ? turnedOver(rims.upper) : rims.lower;
  const front = over ? frontEvidence(points, match.bodyLength, upper, lower) : evidence;
  if (
    front.total < LEAST_EVIDENCE ||
    (front.joint * front.neck < 0 && Math.min(Math.abs(front.joint), Math.abs(front.neck)) > STRONG_VOTE)
  ) {
    throw new InputError(
      'no-instrument',
      'front and back cannot be told apart: neither board, neck root nor bridge is seen clearly; scan more of the neck',
    );
  }
  const half = 0.5 * match.bodyLength;
  const level = levelling(upper);
  return {
    motion: compose(level, motion),
    bodyLength: match.bodyLength,
    bodyDepth: (upper.c + upper.a * half - lower.c - lower.a * half) / match.bodyLength,
    match,
    symmetry: axis.symmetry,
    front,
    thinned: moved(points, level),
  };
}

/** x from the joint to the tail, z along the plates' normal, whichever way that points. */
function motionOf({ axes: [u, v, z], axis, match }: Place): Motion {
  const c = Math.cos(axis.angle);
  const d = Math.sin(axis.angle);
  const alongAxis = add(scale(u, c), scale(v, d));
  const x = scale(alongAxis, match.towardsTail);
  const left = add(scale(u, -d), scale(v, c));
  return motionFromAxes(x, cross(z, x), z, add(scale(alongAxis, match.joint), scale(left, axis.offset)));
}

/** Half a turn about x. */
const TURNED_OVER: Motion = Float64Array.of(1, 0, 0, 0, 0, -1, 0, 0, 0, 0, -1, 0);
const turnedOver = (rim: RimPlane): RimPlane => ({ ...rim, c: -rim.c, a: -rim.a });

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
  const along = new Float64Array(cloud.count);
  for (let i = 0; i < cloud.count; i++) along[i] = axis[0] * p[3 * i] + axis[1] * p[3 * i + 1] + axis[2] * p[3 * i + 2];
  return along;
}
