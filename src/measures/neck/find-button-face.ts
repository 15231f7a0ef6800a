import { median } from '../../numerics/statistics.ts';
import type { Workpiece } from '../family.ts';
import { fitRobustSurface } from '../fit-robust-surface.ts';
import { pointsInBox } from '../points-in-box.ts';

/** The outer face of the button and of the back beside the joint, near the centreline. Working frame, mm. */
export interface ButtonFace {
  /** Points of the face, from 1.5 mm (scaled) inside its rim to a little beyond the joint. */
  readonly ids: Uint32Array;
  /** x of its end at the heel. */
  readonly end: number;
  /** Height of its lowest part, to a few tenths. */
  readonly low: number;
  /** Height of the fitted surface. */
  readonly value: (x: number, y: number) => number;
  readonly gradient: (x: number, y: number) => readonly [number, number];
  /** Share of the stretch from its end to the joint that holds points. */
  readonly coverage: number;
}

/** mm × size. Half the width of the strip about the centreline. */
const HALF_STRIP = 3.5;
/** mm × size. Reach of the search towards the scroll (buttons are 8 to 22 mm long on a violin) and towards the tail. */
const TOWARDS_SCROLL = 32;
const TOWARDS_TAIL = 8;
/** mm × size. What lies farther beyond the joint does not shape the face's end there: the back may step down from a button that was pieced or capped. */
const BEYOND_JOINT = 2;
/** mm × size. Edge plane to the back's outer face at the joint: ribs of 24 mm on the flattest violins; of a bass 75 mm by this scale. */
const LEAST_DEPTH = 18;
const GREATEST_DEPTH = 110;
/** Cosine: the button's face is level to some 15°. */
const LEAST_COSINE = 0.85;
/** mm × size. Step of the trace along the face. */
const STEP = 1.5;
/** mm × size. The face is smooth: from step to step it does not jump farther. */
const JUMP = 1;
/** Spacings of points that a step must hold, where the scan is coarse. */
const SPACINGS_A_STEP = 2;
/** mm × size. Stretch without points that a trace may leap over: a hole in the scan. */
const LEAP = 4.5;
/** mm × size. The rim is rounded or worn over this length. */
const RIM = 1.5;
/** mm × size. Fewer than this of face before the joint is no button. */
const LEAST_LENGTH = 4;
/** Points below which the face is only fitted by a quadratic: a coarse scan. */
const FEW = 40;
/** Share of the stretch from its end to the joint that must hold points. */
const LEAST_COVERAGE = 0.6;

/** @returns a reason in place of the face where the scan does not show it */
export function findButtonFace(work: Workpiece): ButtonFace | string {
  const { cloud, size } = work;
  const y = Math.max(HALF_STRIP * size, SPACINGS_A_STEP * work.spacing);
  const box = { x: [-TOWARDS_SCROLL * size, TOWARDS_TAIL * size], y: [-y, y], z: [-GREATEST_DEPTH * size, -LEAST_DEPTH * size] } as const;
  const candidates = pointsInBox(cloud, box, { axis: 'z', least: LEAST_COSINE });
  const first = lowestLayer(work, candidates);
  if (first === undefined) return 'the button is not in the scan';
  const trace = traceTowardsScroll(work, candidates, first);
  if (trace.end > -LEAST_LENGTH * size) return 'the button is not in the scan';
  if (trace.coverage < LEAST_COVERAGE) return 'too little of the button is seen';
  const inside = trace.ids.filter((i) => {
    const x = cloud.positions[3 * i];
    return x > trace.end + RIM * size && x < BEYOND_JOINT * size;
  });
  const model = { out: 2, a: 0, b: 1, degreeA: inside.length < FEW ? 2 : 4, degreeB: 2, total: inside.length < FEW ? 2 : 4 };
  const surface = fitRobustSurface(cloud, inside, model, work.sigma);
  if (surface === undefined) return 'too little of the button is seen';
  const { value, gradient } = surface.fit;
  let low = Infinity;
  for (let x = trace.end + RIM * size; x <= 0; x += STEP * size) low = Math.min(low, value(x, 0));
  return { ids: surface.ids, end: trace.end, low, value, gradient, coverage: trace.coverage };
}

/** Height of the lowest layer of points beside the joint that covers a fair share of it; undefined where there is none. */
function lowestLayer(work: Workpiece, ids: Uint32Array): number | undefined {
  const { cloud, size } = work;
  const p = cloud.positions;
  const near = [...ids].filter((i) => p[3 * i] > -TOWARDS_TAIL * size).sort((i, j) => p[3 * i + 2] - p[3 * j + 2]);
  const layer = 2 * JUMP * size;
  // A quarter of the strip's area in one layer: less is clutter below the back.
  const enough = 0.25 * (2 * TOWARDS_TAIL * size) * (2 * HALF_STRIP * size);
  let area = 0;
  let from = 0;
  for (let k = 0; k < near.length; k++) {
    area += cloud.areas[near[k]];
    while (p[3 * near[k] + 2] - p[3 * near[from] + 2] > layer) area -= cloud.areas[near[from++]];
    if (area >= enough) return p[3 * near[(from + k) >> 1] + 2];
  }
  return undefined;
}

/** Follows the layer step by step from the tail side towards the scroll until it ends. */
function traceTowardsScroll(work: Workpiece, ids: Uint32Array, start: number): { ids: Uint32Array; end: number; coverage: number } {
  const { cloud, size } = work;
  const p = cloud.positions;
  const step = Math.max(STEP * size, SPACINGS_A_STEP * work.spacing);
  const bins = new Map<number, number[]>();
  for (const i of ids) {
    const bin = Math.floor(p[3 * i] / step);
    const members = bins.get(bin);
    if (members === undefined) bins.set(bin, [i]);
    else members.push(i);
  }
  const found: number[] = [];
  let height = start;
  let end = Infinity;
  let empty = 0;
  let seen = 0;
  const leap = Math.ceil((LEAP * size) / step);
  let last = Math.ceil((TOWARDS_TAIL * size) / step);
  for (let bin = last; bin >= -Math.ceil((TOWARDS_SCROLL * size) / step) && empty <= leap; bin--) {
    const on = (bins.get(bin) ?? []).filter((i) => Math.abs(p[3 * i + 2] - height) <= (1 + empty) * JUMP * size);
    if (on.length === 0) {
      empty++;
      continue;
    }
    empty = 0;
    last = bin;
    if (bin < 0) seen++;
    for (const i of on) {
      found.push(i);
      end = Math.min(end, p[3 * i]);
    }
    height = median(on.map((i) => p[3 * i + 2]));
  }
  return { ids: Uint32Array.from(found), end, coverage: last < 0 ? seen / -last : 0 };
}
