import type { Body } from './body.ts';
import { BLOCK_SHARE } from './body-change.ts';
import type { TrueFrame } from './frame.ts';
import type { Neck } from './neck.ts';
import { applyRigid, compose, type Rigid, STAY, turn } from './rigid.ts';

/** A piece of the body as a grid of cells: the point at fractional (i, j) of whatever body it is asked for; false where there is none. */
interface Grid {
  readonly rows: number;
  readonly columns: number;
  at(body: Body, i: number, j: number, out: Float64Array): boolean;
}

/** cell size, mm on a violin */
const CELL = 2.5;

function grids(body: Body): readonly Grid[] {
  const k = body.scale;
  const h = CELL * k;
  const { dims, outline } = body;
  const wide = Math.max(dims.upper, dims.lower) / 2 + 2 * h;
  const reach = 1.1 * body.edge;
  const q = new Float64Array(4);
  const n = Math.round(outline.length / h);
  const plate = (back: boolean): Grid => ({
    rows: Math.ceil(dims.body / h) + 2,
    columns: Math.ceil((2 * wide) / h),
    at: (b, i, j, out) => {
      const [x, y] = [(i - 1) * h, j * h - wide];
      const d = b.distance(x, y);
      if (d < reach || (!back && b.fHole(x, y) < 0)) return false;
      b.moved(x, y, back ? b.back(x, y, d) : b.top(x, y, d), out);
      return true;
    },
  });
  const edge = (back: boolean): Grid => ({
    rows: n,
    columns: 6,
    at: (b, i, j, out) => {
      outline.at((i / n) * outline.length, q);
      const d = reach * (1 - j / 6) ** 2;
      const [x, y] = [q[0] + d * q[2], q[1] + d * q[3]];
      if (b.distance(x, y) < d - 0.03) return false;
      b.moved(x, y, back ? b.back(x, y, d) : b.top(x, y, d), out);
      return true;
    },
  });
  const high = Math.max(4, Math.round(dims.rib / h));
  const ribs: Grid = {
    rows: n,
    columns: high,
    at: (b, i, j, out) => {
      outline.at((i / n) * outline.length, q);
      const t = j / high;
      const inset = b.ribInset(q[0], q[1], t);
      const [x, y] = [q[0] + inset * q[2], q[1] + inset * q[3]];
      if (b.distance(x, y) < inset - 0.03) return false;
      const low = b.overBack(x, y);
      b.moved(x, y, low + (b.underTop(x, y) - low) * t, out);
      return true;
    },
  };
  return [plate(false), plate(true), edge(false), edge(true), ribs];
}

export interface Registration {
  /** brings the later body, in the baseline's frame, to the baseline's */
  readonly motion: Rigid;
  /** RMS distance that is left, mm */
  readonly residual: number;
}

/**
 * The motion with the least mean square, even by area, of the distance along the baseline's normals over top, ribs and back.
 * Both bodies are the same wood, so the distance is the displacement's component; sliding along the surface counts for nothing.
 */
export function registerBody(body: Body, later: Body, neck: Neck, frame: TrueFrame, block: boolean): Registration {
  if (body === later) return { motion: STAY, residual: 0 };
  const from = block ? BLOCK_SHARE * frame.bodyLength : Number.NEGATIVE_INFINITY;
  // per cell: place, where it went, normal, area
  const cells: number[] = [];
  const [p, q, a, b, c, d] = Array.from({ length: 6 }, () => new Float64Array(3));
  for (const g of grids(body))
    for (let i = 0; i < g.rows; i++)
      for (let j = 0; j < g.columns; j++) {
        if (!g.at(body, i + 0.5, j + 0.5, p) || neck.holds(p[0], p[1], p[2], 0)) continue;
        const there = g.at(body, i + 0.1, j + 0.5, a) && g.at(body, i + 0.9, j + 0.5, b) && g.at(body, i + 0.5, j + 0.1, c);
        if (!there || !g.at(body, i + 0.5, j + 0.9, d)) continue;
        const u = [b[0] - a[0], b[1] - a[1], b[2] - a[2]];
        const v = [d[0] - c[0], d[1] - c[1], d[2] - c[2]];
        const m = [u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0]];
        const area = Math.hypot(m[0], m[1], m[2]);
        const n = frame.axes.map((e) => (e[0] * m[0] + e[1] * m[1] + e[2] * m[2]) / area);
        frame.to(p[0], p[1], p[2], p);
        if (!(area > 0) || p[0] < from) continue;
        g.at(later, i + 0.5, j + 0.5, q);
        frame.to(q[0], q[1], q[2], q);
        cells.push(p[0], p[1], p[2], q[0], q[1], q[2], n[0], n[1], n[2], area);
      }
  let motion = STAY;
  let sum = 0;
  let total = 0;
  // the last round only measures
  for (let round = 0; round < 4; round++) {
    const N = Array.from({ length: 6 }, () => new Float64Array(7));
    sum = 0;
    total = 0;
    for (let o = 0; o < cells.length; o += 10) {
      applyRigid(motion, cells[o + 3], cells[o + 4], cells[o + 5], q);
      const [nx, ny, nz, area] = [cells[o + 6], cells[o + 7], cells[o + 8], cells[o + 9]];
      const e = nx * (q[0] - cells[o]) + ny * (q[1] - cells[o + 1]) + nz * (q[2] - cells[o + 2]);
      const row = [nx, ny, nz, q[1] * nz - q[2] * ny, q[2] * nx - q[0] * nz, q[0] * ny - q[1] * nx, -e];
      for (let i = 0; i < 6; i++) for (let j = 0; j < 7; j++) N[i][j] += area * row[i] * row[j];
      sum += area * e * e;
      total += area;
    }
    if (round === 3) break;
    const x = solve(N);
    motion = compose(turn([x[3], x[4], x[5]], [0, 0, 0], [x[0], x[1], x[2]]), motion);
  }
  return { motion, residual: Math.sqrt(sum / total) };
}

/** Gauss–Jordan with pivots on rows of an augmented matrix */
function solve(rows: Float64Array[]): readonly number[] {
  const n = rows.length;
  for (let c = 0; c < n; c++) {
    let best = c;
    for (let r = c + 1; r < n; r++) if (Math.abs(rows[r][c]) > Math.abs(rows[best][c])) best = r;
    [rows[c], rows[best]] = [rows[best], rows[c]];
    for (let r = 0; r < n; r++) {
      if (r === c) continue;
      const f = rows[r][c] / rows[c][c];
      for (let k = c; k <= n; k++) rows[r][k] -= f * rows[c][k];
    }
  }
  return rows.map((row, i) => row[n] / row[i]);
}
