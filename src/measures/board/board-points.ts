import type { Workpiece } from '../family.ts';

/** The points where board, nut and the neck's flanks can lie, each coordinate in an array of its own. Working frame, mm. */
export interface BoardPoints {
  readonly count: number;
  readonly x: Float64Array;
  readonly y: Float64Array;
  readonly z: Float64Array;
  readonly nx: Float64Array;
  readonly ny: Float64Array;
  readonly nz: Float64Array;
  readonly area: Float64Array;
}

/** The box, in body lengths, that holds nut and board of every class and set, with room for a neck that leans. */
const BOX = { fromX: -0.5, toX: 0.55, halfY: 0.115, fromZ: -0.13, toZ: 0.3 } as const;

/** Copies the points of the box in which a board can lie. */
export function selectBoardPoints(work: Workpiece): BoardPoints {
  const { positions, normals, areas, count } = work.cloud;
  const length = work.bodyLength;
  const keep: number[] = [];
  for (let i = 0; i < count; i++) {
    const x = positions[3 * i] / length;
    const y = positions[3 * i + 1] / length;
    const z = positions[3 * i + 2] / length;
    if (x > BOX.fromX && x < BOX.toX && Math.abs(y) < BOX.halfY && z > BOX.fromZ && z < BOX.toZ) keep.push(i);
  }
  const column = (source: Float32Array, offset: number, stride: number): Float64Array =>
    Float64Array.from(keep, (i) => source[stride * i + offset]);
  return {
    count: keep.length,
    x: column(positions, 0, 3),
    y: column(positions, 1, 3),
    z: column(positions, 2, 3),
    nx: column(normals, 0, 3),
    ny: column(normals, 1, 3),
    nz: column(normals, 2, 3),
    area: column(areas, 0, 1),
  };
}
