import type { Workpiece } from '../family.ts';
import { fitRobustSurface } from '../fit-robust-surface.ts';
import { pointsInBox } from '../points-in-box.ts';
import type { ButtonFace } from './find-button-face.ts';

/** The heel's outer surface near the centreline, from above the button to below the throat. Working frame, mm. */
export interface Heel {
  readonly ids: Uint32Array;
  /** x of the fitted surface. */
  readonly value: (z: number, y: number) => number;
  readonly gradient: (z: number, y: number) => readonly [number, number];
  /** Share of the heights between 15 % and 50 % that hold points on the centreline. */
  readonly coverage: number;
}

/** mm × size. Half the width of the strip about the centreline: across it a heel's section is a parabola to 0.002 mm. */
const HALF_STRIP = 4.5;
/** Share of the heel's height (taken up to the edge plane, 5 mm × size short of the arrises) that is searched. */
const FROM = 0.1;
const TO = 0.66;
/** mm × size. Where the surface may lie from the button's end: heels lean up to 30°, or the button stands out a little. */
const TOWARDS_SCROLL = 20;
const TOWARDS_TAIL = 5;
/** Cosine to the long axis: the heel's front before it turns into the neck. */
const LEAST_COSINE = 0.55;
/** mm × size. Height of a band in which the surface is first looked for, and how far bands may differ from a smooth curve. */
const BAND = 1.5;
const REACH = 1.2;
/** mm × size. Besides, a section of 8 mm radius falls back by 1.4 mm at the strip's sides. */
const REACH_ACROSS = 2.6;
/** Spacings of points that a band must hold, where the scan is coarse. */
const SPACINGS_A_BAND = 1.5;
/** Share of the bands that must hold points. */
const LEAST_COVERAGE = 0.7;

/** @returns a reason in place of the heel where the scan does not show it */
export function findHeel(work: Workpiece, button: Pick<ButtonFace, 'end' | 'low'>): Heel | string {
  const { cloud, size } = work;
  const height = -button.low;
  const z = [button.low + FROM * height, button.low + TO * height] as const;
  const y = HALF_STRIP * size;
  const box = { x: [button.end - TOWARDS_SCROLL * size, button.end + TOWARDS_TAIL * size], y: [-y, y], z } as const;
  const candidates = pointsInBox(cloud, box, { axis: 'x', least: LEAST_COSINE });
  const curve = firstCurve(work, candidates, z);
  if (curve === undefined) return 'the heel is not in the scan';
  const model = { out: 0, a: 2, b: 1, degreeA: 5, degreeB: 4, total: 6 };
  const surface = fitRobustSurface(cloud, candidates, model, Math.max(work.sigma, 0.01 * size), {
    value: curve,
    reach: REACH_ACROSS * size,
  });
  if (surface === undefined) return 'the heel is not in the scan';
  const coverage = coverageOf(work, surface.ids, button.low, height);
  if (coverage < LEAST_COVERAGE) return 'too little of the heel is seen';
  return { ids: surface.ids, value: surface.fit.value, gradient: surface.fit.gradient, coverage };
}

/**
 * A first curve x(z): in each band the place where most area lies, then a quadratic through most of the bands (each triple of bands proposes one, the one
 * with the most area near it wins). Something that touches the heel is then outvoted.
 */
function firstCurve(work: Workpiece, ids: Uint32Array, z: readonly [number, number]): ((z: number) => number) | undefined {
  const { cloud, size } = work;
  const p = cloud.positions;
  const band = bandOf(work);
  const bands = Math.floor((z[1] - z[0]) / band);
  const members: number[][] = Array.from({ length: bands }, () => []);
  for (const i of ids) {
    const k = Math.floor((p[3 * i + 2] - z[0]) / band);
    if (k >= 0 && k < bands) members[k].push(i);
  }
  const nodes: { z: number; x: number; area: number }[] = [];
  for (let k = 0; k < bands; k++)
    if (members[k].length > 0) nodes.push({ z: z[0] + (k + 0.5) * band, ...densest(cloud, members[k], REACH * size) });
  if (nodes.length < 4) return undefined;
  return bestQuadratic(nodes, REACH * size);
}

/** Height of a band: on a coarse scan high enough to hold points. */
const bandOf = (work: Workpiece): number => Math.max(BAND * work.size, SPACINGS_A_BAND * work.spacing);

/** Middle of the window of `width` along x that holds most area. */
function densest(cloud: Workpiece['cloud'], ids: number[], width: number): { x: number; area: number } {
  const p = cloud.positions;
  ids.sort((i, j) => p[3 * i] - p[3 * j]);
  let from = 0;
  let area = 0;
  let best = { x: p[3 * ids[0]], area: -1 };
  for (let k = 0; k < ids.length; k++) {
    area += cloud.areas[ids[k]];
    while (p[3 * ids[k]] - p[3 * ids[from]] > width) area -= cloud.areas[ids[from++]];
    if (area > best.area) best = { x: (p[3 * ids[from]] + p[3 * ids[k]]) / 2, area };
  }
  return best;
}

function bestQuadratic(nodes: readonly { z: number; x: number; area: number }[], reach: number): (z: number) => number {
  let best = { score: -1, value: (_z: number) => 0 };
  for (let i = 0; i < nodes.length; i++) {
    for (let j = i + 1; j < nodes.length; j++) {
      for (let k = j + 1; k < nodes.length; k++) {
        const value = through(nodes[i], nodes[j], nodes[k]);
        let score = 0;
        for (const n of nodes) score += n.area * Math.max(0, 1 - Math.abs(n.x - value(n.z)) / reach);
        if (score > best.score) best = { score, value };
      }
    }
  }
  return best.value;
}

function through(a: { z: number; x: number }, b: { z: number; x: number }, c: { z: number; x: number }): (z: number) => number {
  const first = (b.x - a.x) / (b.z - a.z);
  const second = ((c.x - b.x) / (c.z - b.z) - first) / (c.z - a.z);
  return (z) => a.x + (z - a.z) * (first + second * (z - b.z));
}

/** Share of bands from 15 % to 50 % of the height that hold points near the centreline. */
function coverageOf(work: Workpiece, ids: Uint32Array, low: number, height: number): number {
  const p = work.cloud.positions;
  const bands = Math.max(4, Math.floor((0.35 * height) / bandOf(work)));
  const seen = new Uint8Array(bands);
  for (const i of ids) {
    const k = Math.floor((bands * (p[3 * i + 2] - low - 0.15 * height)) / (0.35 * height));
    if (k >= 0 && k < bands) seen[k] = 1;
  }
  return seen.reduce((sum, s) => sum + s, 0) / bands;
}
