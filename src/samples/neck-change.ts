import { applyToPoint, type Motion } from '../geometry/motion.ts';
import type { Vec3 } from '../geometry/vec3.ts';
import { turnAbout } from './turn.ts';

/** What may happen to a neck between two scans, by the definitions of the change measurands: radians and mm. */
export interface NeckChange {
  /** Pitch below the heel, in the joint, and by bending of the heel itself. */
  readonly root: number;
  readonly bend: number;
  readonly yaw: number;
  readonly roll: number;
  /** Shift of the whole neck besides, mm. */
  readonly shift: Vec3;
  /** Change of the sagitta of the neck's back, mm, positive away from the strings. */
  readonly warp: number;
}

export const NO_NECK_CHANGE: NeckChange = { root: 0, bend: 0, yaw: 0, roll: 0, shift: [0, 0, 0], warp: 0 };

/** Where heel and neck are, instrument frame, mm. */
export interface NeckPlaces {
  /** Lowest point of the button's outer face, and the heel's height from it. */
  readonly low: number;
  readonly height: number;
  /** x of the heel's axis, about which its cross-sections turn. */
  readonly axisX: number;
  /** x of the heel's contour where its plain line ends, and of the throat's end: between them the heel passes into the rigid neck. */
  readonly heelX: number;
  readonly throatX: number;
  /** The board line, along which the neck's length is taken. */
  readonly boardLine: { readonly z0: number; readonly slope: number };
  readonly neckLength: number;
}

/** Ends of the stretch of the neck in which it warps: shares of its length from the nut. */
const FROM = 0.15;
const TO = 0.75;
/** How soon a warp fades out towards the heel, in half lengths of that stretch. */
const FADE = 0.3;

/** The rigid motion of the neck's wood above the heel, instrument frame; the warp comes on top of it. */
export function neckMotion(change: NeckChange, at: NeckPlaces): Motion {
  // What the bending heel's axis lags behind one that turns as a whole at its foot.
  const lag = -(change.bend * at.height) / 2;
  const [x, y, z] = change.shift;
  return turnAbout([change.roll, change.root + change.bend, change.yaw], [at.axisX, 0, at.low], [x + lag, y, z]);
}

/**
 * The change as a motion of points of the instrument frame, in place. `rigid` points (board, nut, head) move with the neck's wood; points of wood below the
 * throat with the heel's cross-sections.
 */
export function neckMover(change: NeckChange, at: NeckPlaces): (p: Float64Array, kind: 'rigid' | 'wood') => void {
  const motion = neckMotion(change, at);
  const { z0, slope } = at.boardLine;
  const middle = 1 - (FROM + TO) / 2;
  const half = (TO - FROM) / 2;
  return (p, kind) => {
    const [x, s] = [p[0], p[2] - at.low];
    // Negative towards the nut, in lengths of the neck.
    const along = (x + slope * (p[2] - z0)) / (Math.hypot(1, slope) * at.neckLength);
    p.set(applyToPoint(motion, [p[0], p[1], p[2]]));
    p[2] -= change.warp * warpShape((along + middle) / half);
    if (kind === 'rigid') return;
    const rigidity = smoothStep((at.heelX - x) / (at.heelX - at.throatX));
    const section = Math.min(at.height, s + rigidity * (at.height - s));
    const missing = change.bend * (1 - section / at.height);
    // Axis of the bending heel less that of the rigid one, and the part of the turn that its section has not made.
    p[0] += (change.bend * (section ** 2 - at.height ** 2)) / (2 * at.height) - change.bend * (section - at.height);
    p[0] -= missing * (s - section);
    p[2] += missing * (x - at.axisX);
  };
}

/** 1 − ξ² between the ends; straight on towards the head, fading towards the heel. */
function warpShape(xi: number): number {
  if (xi < -1) return 2 * (xi + 1);
  return xi <= 1 ? 1 - xi * xi : -2 * (xi - 1) * Math.exp(-(((xi - 1) / FADE) ** 2));
}

function smoothStep(t: number): number {
  const u = Math.max(0, Math.min(1, t));
  return u * u * (3 - 2 * u);
}
