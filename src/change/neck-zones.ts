import type { Evaluation } from '../measures/evaluate-all.ts';
import type { ZoneOf } from './cores.ts';

/** Where neck and heel are in the baseline, instrument frame, mm. */
export interface NeckShape {
  readonly size: number;
  /** x of the nut's front edge. */
  readonly nutX: number;
  readonly boardLine: { readonly z0: number; readonly slope: number };
  readonly centre: { readonly y0: number; readonly slope: number };
  /** Height of the glue line at x. */
  readonly glueZ: (x: number) => number;
  /** Lowest point of the button's outer face and the heel's height; undefined without a heel. */
  readonly heel: { readonly low: number; readonly height: number } | undefined;
}

/** Board line to glue line where no lower arris is seen, mm × size: a board's edge and its crown. */
const USUAL_BOARD = 9;

/** @returns a reason in words where the baseline does not show where the neck is */
export function neckShape(nominal: Evaluation, size: number): NeckShape | string {
  const get = (name: string) => nominal.shared.get(name);
  const [nutX, z0, slope] = [get('board.nutX'), get('boardLine.z0'), get('boardLine.slope')];
  if (!nominal.hasJoint) return 'the joint of neck and body is not seen in the baseline';
  if (nutX === undefined || z0 === undefined || slope === undefined)
    return "the nut or the board is not seen in the baseline, so the neck's stretch is not known";
  const sides = (['bass', 'treble'] as const).flatMap((side) => {
    const [a, b] = [get(`lowerArris.${side}.z0`), get(`lowerArris.${side}.slope`)];
    return a === undefined || b === undefined ? [] : [[a, b] as const];
  });
  const mean = (k: 0 | 1) => sides.reduce((sum, s) => sum + s[k], 0) / sides.length;
  const glue = sides.length === 0 ? ([z0 - USUAL_BOARD * size, slope] as const) : ([mean(0), mean(1)] as const);
  const glueZ = (x: number) => glue[0] + glue[1] * x;
  const height = nominal.values.get('heelHeight');
  return {
    size,
    nutX,
    boardLine: { z0, slope },
    centre: { y0: get('boardCentre.y0') ?? 0, slope: get('boardCentre.slope') ?? 0 },
    glueZ,
    heel: height === undefined ? undefined : { low: glueZ(HEEL_X * size) - height, height },
  };
}

/** Where the contour of a heel usually stands at half its height, mm × size: the glue line's height hardly changes about it. */
const HEEL_X = -14;

/** The stretch of the neck whose wood tells its motion, shares of its length from the nut (measurands.md). */
export const WOOD_FROM = 0.15;
export const WOOD_TO = 0.75;
/** Share of the neck's length, from the nut, at which a place stands: along the board line, as the neck's length is taken, and so square to it. */
export function shareAlong({ nutX, boardLine: { z0, slope } }: NeckShape, x: number, z: number): number {
  return 1 - (x + slope * (z - z0)) / (nutX * (1 + slope * slope));
}

/** Glue line to the wood that counts (a reading must not reach the board's side), deepest wood below it, half the widest neck there; mm × size. */
const WOOD = { below: 2.6, deepest: 32, half: 20, middle: 4 };
/** |cosine| to x beyond which a surface faces along the neck. */
const ALONG = 0.5;

/** Back and sides of the neck between 15 % and 75 % of its length. */
export function woodZone(shape: NeckShape): ZoneOf {
  const { size, centre } = shape;
  return (x, y, z, n) => {
    const share = shareAlong(shape, x, z);
    if (share < WOOD_FROM || share > WOOD_TO || Math.abs(n[0]) > ALONG) return 0;
    const glue = shape.glueZ(x);
    const dy = y - centre.y0 - centre.slope * x;
    if (z > glue - WOOD.below * size || z < glue - WOOD.deepest * size || Math.abs(dy) > WOOD.half * size) return 0;
    outwards(n, n[1] * dy + n[2] * (z - glue + WOOD.middle * size));
    return 1;
  };
}

/** Where the head may be, mm × size: beyond the nut, to either side (pegs reach farther), and about the board line. */
const HEAD = { beyondNut: 6, half: 24, below: 55, above: 30 };

/** Pegbox and scroll. */
export function headZone({ size, nutX, boardLine, centre }: NeckShape): ZoneOf {
  return (x, y, z) => {
    const dz = z - boardLine.z0 - boardLine.slope * x;
    const isNear = Math.abs(y - centre.y0 - centre.slope * x) < HEAD.half * size && dz > -HEAD.below * size && dz < HEAD.above * size;
    return isNear && x < nutX - HEAD.beyondNut * size ? 1 : 0;
  };
}

/** The board over the neck: from behind the strings' rise at the nut to before the joint, shares of the neck's length from the nut; to either side, over and under the board line, mm × size. */
const BOARD = { from: 0.2, to: 0.95, half: 24, above: 1.5, below: 12, clear: 2.6 };

/** Playing surface and sides of the board where it is glued to the neck. */
export function boardZone(shape: NeckShape): ZoneOf {
  const { size, boardLine, centre } = shape;
  return (x, y, z, n) => {
    const share = shareAlong(shape, x, z);
    if (share < BOARD.from || share > BOARD.to || Math.abs(n[0]) > ALONG) return 0;
    const dy = y - centre.y0 - centre.slope * x;
    const dz = z - boardLine.z0 - boardLine.slope * x;
    if (Math.abs(dy) > BOARD.half * size || dz > BOARD.above * size || dz < -BOARD.below * size) return 0;
    if (z < shape.glueZ(x) + BOARD.clear * size && Math.abs(n[2]) < ALONG) return 0;
    outwards(n, n[1] * dy + n[2] * (dz + BOARD.below * size));
    return 1;
  };
}

/** Heights that count on the heel, shares of its height: above the button's rim and below the throat. */
export const HEEL_FROM = 0.1;
export const HEEL_TO = 0.6;
/** Where the heel's surface may be, mm × size: towards the scroll, short of the ribs, to either side. */
const HEEL = { farthest: -34, nearest: -1.5, half: 20 };

/** Share of a reading's reach by which its place stays clear of the button's rim. */
const CLEAR = 0.8;

/**
 * Front and sides of the heel.
 *
 * @param reach  of a reading, mm: it must not go over the button's rim
 */
export function heelZone(shape: NeckShape, reach: number): ZoneOf {
  const { size, heel, centre } = shape;
  const from = heel === undefined ? HEEL_FROM : Math.max(HEEL_FROM, 0.05 + (CLEAR * reach) / heel.height);
  return (x, y, z, n) => {
    if (heel === undefined || x < HEEL.farthest * size || x > HEEL.nearest * size) return 0;
    const share = (z - heel.low) / heel.height;
    const dy = y - centre.y0;
    if (share < from || share > HEEL_TO || Math.abs(dy) > HEEL.half * size) return 0;
    outwards(n, n[0] * x + n[1] * dy);
    return 1;
  };
}

function outwards(n: Float64Array, along: number): void {
  if (along >= 0) return;
  for (let k = 0; k < 3; k++) n[k] = -n[k];
}
