import type { Workpiece } from '../family.ts';
import { fitRobustSurface, type RobustSurface } from '../fit-robust-surface.ts';
import type { NeckLayer } from './find-neck-layers.ts';

/** mm × size. Where the smooth back is surely still straight enough for one surface; from there on it is followed into the throat. */
const FROM = -70;
/** mm × size. Step along the neck, and half the window in which each piece is fitted. */
const STEP = 4;
const HALF_WINDOW = 8;
/** mm × size. How far points may be from the piece before, produced: a throat of 15 mm radius leaves it by 0.5 mm over a step. */
const REACH = 0.9;
/** mm × size. Pieces that scatter more follow something that is no surface. */
const ROUGH = 0.25;
/** Share of the points in a step that must lie on its piece. */
const LEAST_SHARE = 0.5;

/** Points of the smooth back where following begins: without them the surface is only produced that far. */
const ANCHOR = 20;

interface Piece {
  readonly from: number;
  readonly surface: RobustSurface;
}

/**
 * The back of the neck thickens towards the heel, on big instruments before 65 % of its length: one smooth surface of the whole back leaves its points there.
 * They are followed step by step, each piece from the one before.
 *
 * @param near  points that may be the back's
 */
export function followBack(work: Workpiece, near: Uint32Array, layer: NeckLayer, to: number): NeckLayer {
  const { cloud, size } = work;
  const p = cloud.positions;
  const anchored = layer.ids.filter((i) => Math.abs(p[3 * i] - FROM * size) < HALF_WINDOW * size).length;
  if (anchored < ANCHOR) return layer;
  const pieces: Piece[] = [];
  let before: (x: number, y: number) => number = layer.value;
  for (let x = FROM * size; x < to * size; x += STEP * size) {
    const window = near.filter((i) => Math.abs(p[3 * i] - x - (STEP * size) / 2) < HALF_WINDOW * size);
    const model = { out: 2, a: 0, b: 1, degreeA: 3, degreeB: 4, total: 4 };
    const surface = fitRobustSurface(cloud, window, model, Math.max(work.sigma, 0.01 * size), { value: before, reach: REACH * size });
    if (surface === undefined || surface.spread > ROUGH * size) break;
    const inStep = (ids: Uint32Array) => ids.reduce((n, i) => n + (p[3 * i] >= x && p[3 * i] < x + STEP * size ? 1 : 0), 0);
    if (!(inStep(surface.ids) >= Math.max(1, LEAST_SHARE * inStep(window)))) break;
    pieces.push({ from: x, surface });
    before = surface.fit.value;
  }
  if (pieces.length === 0) return layer;
  return joined(work, layer, pieces);
}

/** The layer as far as the first piece, and every piece over its own step. */
function joined(work: Workpiece, layer: NeckLayer, pieces: readonly Piece[]): NeckLayer {
  const step = STEP * work.size;
  const first = pieces[0].from;
  const p = work.cloud.positions;
  const at = (x: number): RobustSurface['fit'] | NeckLayer =>
    x < first ? layer : pieces[Math.min(pieces.length - 1, Math.floor((x - first) / step))].surface.fit;
  const ids = [
    ...layer.ids.filter((i) => p[3 * i] < first),
    ...pieces.flatMap(({ from, surface }) => [...surface.ids.filter((i) => p[3 * i] >= from && p[3 * i] < from + step)]),
  ];
  return { ...layer, ids: Uint32Array.from(ids), value: (x, y) => at(x).value(x, y), gradient: (x, y) => at(x).gradient(x, y) };
}
