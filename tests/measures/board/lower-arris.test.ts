import { describe, expect, it } from 'vitest';
import type { BoardPoints } from '../../../src/measures/board/board-points.ts';
import { selectBoardPoints } from '../../../src/measures/board/board-points.ts';
import { findLowerEdge } from '../../../src/measures/board/lower-edge.ts';
import { findLowerRim } from '../../../src/measures/board/lower-rim.ts';
import type { SideFace } from '../../../src/measures/board/side-faces.ts';
import { random } from '../../../src/numerics/random.ts';
import { PointList, workpieceOf } from '../point-list.ts';

const SIGMA = 0.05;
const END = 140;
const FACE: SideFace = { y0: 16, slope: 0.036, lean: 0, members: new Int32Array(0), straightTo: Number.POSITIVE_INFINITY };
const side = (x: number) => FACE.y0 + FACE.slope * x;
/** Upper arris level, lower arris 5 mm below at x = 0 and 5.7 at x = 140: heights over a plane z = 12. */
const PLANE = { z0: 12, slope: 0 };
const arris = () => 12;
const lower = (x: number) => 7 - 0.005 * x;

interface Underside {
  /** mm. Width of the level rim, and the slope of the hollow behind it. */
  readonly rim: number;
  readonly kink: number;
  readonly spacing?: number;
}

/** The treble side of a board, and its underside unless nothing of it is seen. */
function boardSide(key: string, under: Underside | 'none', raggedBy = 0, spacing = 0.5): BoardPoints {
  const r = random(key);
  const list = new PointList(r, SIGMA);
  const fade = Array.from({ length: 40 }, () => raggedBy * r.uniform());
  list.patch([0, END], [0, 8], spacing, (x, down) => {
    const z = 12 - down;
    return z < lower(x) + fade[Math.min(39, Math.max(0, Math.floor(x / 3.6)))]
      ? undefined
      : [
          [x, side(x), z],
          [0, 1, 0],
        ];
  });
  if (under !== 'none')
    list.patch([0, END], [0, 8], spacing, (x, w) => [
      [x, side(x) - Math.max(0, w), lower(x) + under.kink * Math.max(0, w - under.rim)],
      [0, 0, -1],
    ]);
  return selectBoardPoints(workpieceOf(list.cloud(), SIGMA, spacing));
}

const work = (spacing = 0.5) =>
  workpieceOf(
    { count: 0, positions: new Float32Array(0), normals: new Float32Array(0), areas: new Float32Array(0), oriented: false },
    SIGMA,
    spacing,
  );

describe('findLowerRim', () => {
  // Rims of 1.3 mm before a hollow that begins with a kink of 23°, and of 6 mm before a gentle one.
  it.each([
    { rim: 1.3, kink: 0.43 },
    { rim: 6, kink: 0.1 },
  ])('gives the arris of a rim $rim mm wide', (under) => {
    const found = findLowerRim('treble', boardSide(`rim ${under.rim}`, under), work(), FACE, PLANE, arris, END);
    for (const x of [10, 70, 135]) expect(Math.abs((found?.a ?? NaN) + (found?.b ?? NaN) * x - (lower(x) - 12))).toBeLessThan(0.05);
  });

  // Widened by 5 mm towards the end: beside the straight line produced, the hollow would be taken for the rim.
  it('follows a side that is widened further up', () => {
    const flare = (x: number) => 5 * Math.max(0, (x - 60) / 80) ** 2;
    const list = new PointList(random('flare'), SIGMA);
    list.patch([0, END], [0, 8], 0.5, (x, down) =>
      12 - down < lower(x)
        ? undefined
        : [
            [x, side(x) + flare(x), 12 - down],
            [-flare(x) / 40, 1, 0],
          ],
    );
    list.patch([0, END], [0, 12], 0.5, (x, w) => [
      [x, side(x) + flare(x) - Math.max(0, w), lower(x) + 0.43 * Math.max(0, w - 1.3)],
      [0, 0, -1],
    ]);
    const points = selectBoardPoints(workpieceOf(list.cloud(), SIGMA, 0.5));
    const found = findLowerRim('treble', points, work(), { ...FACE, straightTo: 64 }, PLANE, arris, END);
    for (const x of [10, 70, 135]) expect(Math.abs((found?.a ?? NaN) + (found?.b ?? NaN) * x - (lower(x) - 12))).toBeLessThan(0.06);
  });

  it('finds none where no underside is seen', () => {
    expect(findLowerRim('treble', boardSide('no rim', 'none'), work(), FACE, PLANE, arris, END)).toBeUndefined();
  });
});

describe('findLowerEdge', () => {
  it.each([0.5, 2])('takes the straight end of the side face for the arris at a spacing of %d mm, within its u', (spacing) => {
    const edge = findLowerEdge('treble', boardSide(`edge ${spacing}`, 'none', 0, spacing), work(spacing), FACE, PLANE, arris, END);
    const { xyz, count } = edge?.samples ?? { xyz: new Float64Array(0), count: 0 };
    let off = 0;
    for (let i = 0; i < count; i++) off += (xyz[3 * i + 2] - lower(xyz[3 * i])) / count;
    expect(count).toBeGreaterThan(5);
    expect(Math.abs(off)).toBeLessThan(2 * (edge?.u ?? 0));
  });

  it('does not take a face that fades out raggedly for one that ends', () => {
    expect(findLowerEdge('treble', boardSide('ragged', 'none', 3), work(), FACE, PLANE, arris, END)).toBeUndefined();
  });

  // The wedge of an early set: a side 11 mm high, whose end must not be cut off by the search.
  it('finds the end of a high side', () => {
    const list = new PointList(random('high'), SIGMA);
    list.patch([0, END], [0, 12], 0.5, (x, down) =>
      down > 11
        ? undefined
        : [
            [x, side(x), 12 - down],
            [0, 1, 0],
          ],
    );
    const edge = findLowerEdge('treble', selectBoardPoints(workpieceOf(list.cloud(), SIGMA, 0.5)), work(), FACE, PLANE, arris, END);
    const { xyz, count } = edge?.samples ?? { xyz: new Float64Array(0), count: 0 };
    expect(count).toBeGreaterThan(5);
    for (let i = 0; i < count; i++) expect(Math.abs(xyz[3 * i + 2] - 1)).toBeLessThan(0.3);
  });

  it('does not take a short piece for an edge', () => {
    const all = boardSide('piece', 'none');
    const keep = Array.from({ length: all.count }, (_, i) => i).filter((i) => all.x[i] < 50);
    const pick = (v: Float64Array) => Float64Array.from(keep, (i) => v[i]);
    const piece = {
      count: keep.length,
      x: pick(all.x),
      y: pick(all.y),
      z: pick(all.z),
      nx: pick(all.nx),
      ny: pick(all.ny),
      nz: pick(all.nz),
      area: pick(all.area),
    };
    expect(findLowerEdge('treble', piece, work(), FACE, PLANE, arris, END)).toBeUndefined();
  });
});
