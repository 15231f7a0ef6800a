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
  const { positions, normals, areas } = work.cloud;
  const keep = insideBox(work);
  const count = keep.length;
  const copy = (source: Float32Array, offset: number, stride: number): Float64Array => {
    const column = new Float64Array(count);
    for (let k = 0; k < count; k++) column[k] = source[stride * keep[k] + offset];
    return column;
  };
  return {
    count,
    x: copy(positions, 0, 3),
    y: copy(positions, 1, 3),
    z: copy(positions, 2, 3),
    nx: copy(normals, 0, 3),
    ny: copy(normals, 1, 3),
    nz: copy(normals, 2, 3),
    area: copy(areas, 0, 1),
  };
}

function insideBox(work: Workpiece): Uint32Array {
  const { positions, count } = work.cloud;
  const length = work.bodyLength;
  const keep = new Uint32Array(count);
  let kept = 0;
  for (let i = 0; i < count; i++) {
    const x = positions[3 * i];
    const y = positions[3 * i + 1];
    const z = positions[3 * i + 2];
    if (x < BOX.fromX * length || x > BOX.toX * length || Math.abs(y) > BOX.halfY * length) continue;
    if (z > BOX.fromZ * length && z < BOX.toZ * length) keep[kept++] = i;
  }
  return keep.subarray(0, kept);
}
