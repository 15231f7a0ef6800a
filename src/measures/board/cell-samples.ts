import { type Samples, SampleList } from '../../geometry/samples.ts';
import type { BoardPoints } from './board-points.ts';

/** How points of one part are averaged into samples. */
export interface CellRule {
  /** Cell that a point belongs to. */
  readonly key: (i: number) => number;
  /** Coordinate in which the part's model gives a value: 1 for y, 2 for z. */
  readonly axis: 1 | 2;
  /** The model: that coordinate at the two others (x and z, or x and y), mm. */
  readonly model: (x: number, other: number) => number;
  /** The sign of the normals' component along `axis`. */
  readonly facing: 1 | -1;
  /** Noise of a single point, mm: never taken smaller than this. */
  readonly sigma: number;
  /** Area of a cell that is covered in full, mm². */
  readonly cellArea: number;
}

interface Cell {
  n: number;
  x: number;
  other: number;
  residual: number;
  squares: number;
  nx: number;
  ny: number;
  nz: number;
  area: number;
}

/**
 * One sample a cell: the mean of its points' distances from the smooth model, put back on the model at the mean of their places.
 * Curvature inside the cell so biases nothing, and neither does the way the points lie in it.
 */
export function cellSamples(members: ArrayLike<number>, points: BoardPoints, rule: CellRule): Samples {
  const cells = collect(members, points, rule);
  const scatter = pooledScatter(cells, rule.sigma);
  const list = new SampleList();
  for (const c of cells.values()) {
    const x = c.x / c.n;
    const other = c.other / c.n;
    const value = rule.model(x, other) + c.residual / c.n;
    const l = Math.hypot(c.nx, c.ny, c.nz);
    const u = scatter / Math.sqrt(c.n);
    const weight = Math.min(c.area, rule.cellArea);
    if (rule.axis === 1) list.add(x, value, other, c.nx / l, c.ny / l, c.nz / l, u, weight);
    else list.add(x, other, value, c.nx / l, c.ny / l, c.nz / l, u, weight);
  }
  return list.samples();
}

function collect(members: ArrayLike<number>, points: BoardPoints, rule: CellRule): Map<number, Cell> {
  const cells = new Map<number, Cell>();
  const upright = rule.axis === 1 ? points.ny : points.nz;
  const alongAxis = rule.axis === 1 ? points.y : points.z;
  const across = rule.axis === 1 ? points.z : points.y;
  for (let k = 0; k < members.length; k++) {
    const i = members[k];
    const key = rule.key(i);
    let c = cells.get(key);
    if (c === undefined) {
      c = { n: 0, x: 0, other: 0, residual: 0, squares: 0, nx: 0, ny: 0, nz: 0, area: 0 };
      cells.set(key, c);
    }
    const sign = upright[i] * rule.facing < 0 ? -1 : 1;
    const residual = alongAxis[i] - rule.model(points.x[i], across[i]);
    c.n++;
    c.x += points.x[i];
    c.other += across[i];
    c.residual += residual;
    c.squares += residual * residual;
    c.nx += sign * points.nx[i];
    c.ny += sign * points.ny[i];
    c.nz += sign * points.nz[i];
    c.area += points.area[i];
  }
  return cells;
}

/** Scatter of points about the mean of their own cell, over all cells, mm; not below the scan's own noise. */
function pooledScatter(cells: Map<number, Cell>, sigma: number): number {
  let squares = 0;
  let dof = 0;
  for (const c of cells.values()) {
    squares += c.squares - (c.residual * c.residual) / c.n;
    dof += c.n - 1;
  }
  return dof < 10 ? sigma : Math.max(sigma, Math.sqrt(squares / dof));
}
