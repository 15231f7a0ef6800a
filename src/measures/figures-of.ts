import type { Samples } from '../geometry/samples.ts';
import type { Evaluation, EvaluationPlan } from './evaluate-all.ts';
import type { PartSamples, Workpiece } from './family.ts';
import type { Figures } from './result.ts';

/** Points kept for pages. */
const MOST_SECTION = 3000;
const MOST_POINTS = 12000;
/** Half-thickness of the slice round the centreline, mm × size. */
const SLICE = 0.8;

/** What pages draw, in the instrument frame, thinned and rounded to 0.01 mm. */
export function figuresOf(work: Workpiece, parts: PartSamples, nominal: Evaluation, plan: EvaluationPlan): Figures {
  const m = nominal.motion;
  const p = work.cloud.positions;
  const place = (i: number): readonly [number, number, number] => [
    m[0] * p[3 * i] + m[1] * p[3 * i + 1] + m[2] * p[3 * i + 2] + m[3],
    m[4] * p[3 * i] + m[5] * p[3 * i + 1] + m[6] * p[3 * i + 2] + m[7],
    m[8] * p[3 * i] + m[9] * p[3 * i + 1] + m[10] * p[3 * i + 2] + m[11],
  ];
  const slice: number[] = [];
  const points: number[] = [];
  const every = Math.max(1, Math.ceil(work.cloud.count / MOST_POINTS));
  for (let i = 0; i < work.cloud.count; i++) {
    const q = place(i);
    if (Math.abs(q[1]) < SLICE * work.size) slice.push(round(q[0]), round(q[2]));
    if (i % every === 0) points.push(round(q[0]), round(q[1]), round(q[2]));
  }
  const line = nominal.shared.get('boardLine.z0');
  const slope = nominal.shared.get('boardLine.slope');
  const nut = nominal.shared.get('board.nutX');
  const to = nominal.values.get('stop') ?? nominal.shared.get('board.endX');
  return {
    outline: [...pairs(parts['datum.outlineBass'], 0, 1), ...reversedPairs(pairs(parts['datum.outlineTreble'], 0, 1))],
    section: thinPairs(slice, MOST_SECTION),
    topCentre: plan.topCentre === undefined ? [] : pairs(plan.topCentre.samples, 0, 2),
    ...(line !== undefined && slope !== undefined && nut !== undefined && to !== undefined
      ? { boardLine: { z0: line, slope, from: nut, to } }
      : {}),
    boardRidge: pairs(parts['board.ridge'], 0, 2),
    heelContour: pairs(parts['heel.contour'], 0, 2),
    points,
  };
}

const round = (v: number): number => Math.round(v * 100) / 100;

function pairs(s: Samples | undefined, a: number, b: number): number[] {
  if (s === undefined) return [];
  const out: number[] = [];
  for (let i = 0; i < s.count; i++) out.push(round(s.xyz[3 * i + a]), round(s.xyz[3 * i + b]));
  return out;
}

function reversedPairs(flat: readonly number[]): number[] {
  const out: number[] = [];
  for (let i = flat.length - 2; i >= 0; i -= 2) out.push(flat[i], flat[i + 1]);
  return out;
}

function thinPairs(flat: readonly number[], most: number): number[] {
  const every = Math.max(1, Math.ceil(flat.length / 2 / most));
  const out: number[] = [];
  for (let i = 0; i < flat.length; i += 2 * every) out.push(flat[i], flat[i + 1]);
  return out;
}
