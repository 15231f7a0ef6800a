import type { Body } from './body.ts';
import { type Patch, labelCode } from './patch.ts';
import type { Random } from './random.ts';

export type View = 'whole' | 'front' | 'topHalf' | 'noBack' | 'noScroll' | 'inside';

/** Points seen, in body coordinates, with outward normals; triangles join neighbours of one patch. */
export interface Sight {
  readonly points: Float64Array;
  readonly normals: Float64Array;
  readonly labels: Uint8Array;
  readonly triangles: Uint32Array;
}

/** share of a grid step by which a point is shaken off its node */
const SHAKE = 0.32;
/** least cosine between surface normal and viewing direction */
const GRAZING = 0.27;

/** a surface this far behind another (mm on a violin) is hidden, however obliquely both are seen */
const LEAK = 2.5;

export function look(patches: readonly Patch[], body: Body, view: View, spacing: number, random: Random): Sight {
  const raw = sample(patches, random);
  if (view !== 'inside') {
    const seen = visible(raw.points, raw.normals, raw.count, directions(view, random), spacing, raw.labels, LEAK * body.scale);
    const xs = body.dims.body * 0.52;
    const nut = -body.dims.neck - 8 * body.scale;
    for (let i = 0; i < raw.count; i++) {
      const x = raw.points[i * 3];
      if (view === 'topHalf' && x > xs) seen[i] = 0;
      if (view === 'noScroll' && x < nut) seen[i] = 0;
    }
    return compact(raw, seen);
  }
  return compact(raw, new Uint8Array(raw.count).fill(1));
}

interface Raw {
  points: Float64Array;
  normals: Float64Array;
  labels: Uint8Array;
  triangles: Uint32Array;
  count: number;
}

function sample(patches: readonly Patch[], random: Random): Raw {
  let size = 0;
  for (const p of patches) size += p.rows * p.columns;
  const points = new Float64Array(size * 3);
  const normals = new Float64Array(size * 3);
  const labels = new Uint8Array(size);
  const triangles = new Uint32Array(size * 6);
  let used = 0;
  let count = 0;
  const p = new Float64Array(3);
  for (const patch of patches) {
    const { rows, columns } = patch;
    const index = new Int32Array(rows * columns).fill(-1);
    const code = labelCode(patch.label);
    for (let i = 0; i < rows; i++)
      for (let j = 0; j < columns; j++) {
        const shakeI = patch.still || i === 0 || i === rows - 1 ? 0 : SHAKE * (2 * random.next() - 1);
        const shakeJ = patch.still || (patch.ring === undefined && (j === 0 || j === columns - 1)) ? 0 : SHAKE * (2 * random.next() - 1);
        if (!patch.point(i + shakeI, j + shakeJ, p)) continue;
        index[i * columns + j] = count;
        labels[count] = patch.name ? labelCode(patch.name(i, j)) : code;
        points[count * 3] = p[0];
        points[count * 3 + 1] = p[1];
        points[count * 3 + 2] = p[2];
        count++;
      }
    const ring = patch.ring === 'columns';
    const get = (i: number, j: number): number =>
      i < 0 || i >= rows ? -1 : ring ? index[i * columns + ((j + columns) % columns)] : j < 0 || j >= columns ? -1 : index[i * columns + j];
    for (let i = 0; i < rows; i++)
      for (let j = 0; j < columns; j++) {
        const c = index[i * columns + j];
        if (c < 0) continue;
        const r = get(i + 1, j);
        const s = get(i, j + 1);
        const before = get(i - 1, j);
        const beside = get(i, j - 1);
        const a = (before < 0 ? c : before) * 3;
        const b = (r < 0 ? c : r) * 3;
        const d = (beside < 0 ? c : beside) * 3;
        const e = (s < 0 ? c : s) * 3;
        const ux = points[b] - points[a];
        const uy = points[b + 1] - points[a + 1];
        const uz = points[b + 2] - points[a + 2];
        const vx = points[e] - points[d];
        const vy = points[e + 1] - points[d + 1];
        const vz = points[e + 2] - points[d + 2];
        const nx = uy * vz - uz * vy;
        const ny = uz * vx - ux * vz;
        const nz = ux * vy - uy * vx;
        const n = Math.sqrt(nx * nx + ny * ny + nz * nz);
        normals[c * 3] = n < 1e-9 ? 0 : nx / n;
        normals[c * 3 + 1] = n < 1e-9 ? 0 : ny / n;
        normals[c * 3 + 2] = n < 1e-9 ? 1 : nz / n;
        const t = get(i + 1, j + 1);
        if (!patch.still && i + 1 < rows && (ring || j + 1 < columns)) {
          if (r >= 0 && s >= 0 && t >= 0) {
            triangles[used++] = c;
            triangles[used++] = r;
            triangles[used++] = t;
            triangles[used++] = c;
            triangles[used++] = t;
            triangles[used++] = s;
          } else if (r >= 0 && s >= 0) {
            triangles[used++] = c;
            triangles[used++] = r;
            triangles[used++] = s;
          } else if (r >= 0 && t >= 0) {
            triangles[used++] = c;
            triangles[used++] = r;
            triangles[used++] = t;
          } else if (s >= 0 && t >= 0) {
            triangles[used++] = c;
            triangles[used++] = t;
            triangles[used++] = s;
          }
        }
      }
  }
  return { points, normals, labels, triangles: triangles.subarray(0, used), count };
}

/** directions to the camera: a turntable at several heights, the instrument lying and turned over */
function directions(view: View, random: Random): readonly (readonly [number, number, number])[] {
  const out: (readonly [number, number, number])[] = [];
  const rings: readonly (readonly [number, number])[] =
    view === 'front'
      ? [
          [88, 1],
          [62, 5],
          [38, 7],
        ]
      : view === 'noBack'
        ? [
            [88, 1],
            [55, 5],
            [25, 7],
            [4, 7],
          ]
        : [
            [88, 1],
            [52, 5],
            [17, 7],
            [-18, 7],
            [-52, 5],
            [-88, 1],
          ];
  for (const [elevation, n] of rings)
    for (let i = 0; i < n; i++) {
      const e = ((elevation + 4 * (random.next() - 0.5)) * Math.PI) / 180;
      const a = (2 * Math.PI * (i + 0.3 * random.next())) / n + 0.4;
      out.push([Math.cos(e) * Math.cos(a), Math.cos(e) * Math.sin(a), Math.sin(e)]);
    }
  return out;
}

/** 1 where a depth image from one of the directions shows the point; turns the normals to the side that is seen */
function visible(
  points: Float64Array,
  normals: Float64Array,
  count: number,
  views: readonly (readonly [number, number, number])[],
  spacing: number,
  labels: Uint8Array,
  thin: number,
): Uint8Array {
  const seen = new Uint8Array(count);
  const pixel = 1.5 * spacing;
  const string = labelCode('string');
  let reach = 0;
  for (let i = 0; i < count * 3; i++) reach = Math.max(reach, Math.abs(points[i]));
  const half = Math.ceil((reach * 1.5) / pixel) + 2;
  const wide = 2 * half;
  const map = new Float32Array(wide * wide);
  const cell = new Int32Array(count);
  const depth = new Float32Array(count);
  for (const [dx, dy, dz] of views) {
    map.fill(Number.NEGATIVE_INFINITY);
    const flat = Math.hypot(dx, dy) > 0.1;
    const n = flat ? Math.hypot(dx, dy) : 1;
    const [ax, ay] = flat ? [-dy / n, dx / n] : [1, 0];
    const bx = dy * 0 - dz * ay,
      by = dz * ax - dx * 0,
      bz = dx * ay - dy * ax;
    for (let i = 0; i < count; i++) {
      const x = points[i * 3],
        y = points[i * 3 + 1],
        z = points[i * 3 + 2];
      const u = Math.floor((x * ax + y * ay) / pixel) + half;
      const v = Math.floor((x * bx + y * by + z * bz) / pixel) + half;
      const c = v * wide + u;
      const d = x * dx + y * dy + z * dz;
      cell[i] = c;
      depth[i] = d;
      if (d > map[c]) map[c] = d;
    }
    for (let i = 0; i < count; i++) {
      if (seen[i]) continue;
      const o = i * 3;
      const dot = normals[o] * dx + normals[o + 1] * dy + normals[o + 2] * dz;
      const cos = Math.abs(dot);
      if (cos < GRAZING && labels[i] !== string) continue;
      const slack = pixel * 0.8 + Math.min(thin, (pixel * 1.1 * Math.sqrt(1 - Math.min(1, cos * cos))) / Math.max(0.2, cos));
      if (depth[i] < map[cell[i]] - slack) continue;
      seen[i] = 1;
      if (dot < 0) {
        normals[o] = -normals[o];
        normals[o + 1] = -normals[o + 1];
        normals[o + 2] = -normals[o + 2];
      }
    }
  }
  return seen;
}

export function compact(
  raw: { points: Float64Array; normals: Float64Array; labels: Uint8Array; triangles: Uint32Array; count: number },
  keep: Uint8Array,
): Sight {
  const to = new Int32Array(raw.count).fill(-1);
  let n = 0;
  for (let i = 0; i < raw.count; i++) if (keep[i]) to[i] = n++;
  const points = new Float64Array(n * 3);
  const normals = new Float64Array(n * 3);
  const labels = new Uint8Array(n);
  for (let i = 0; i < raw.count; i++) {
    const t = to[i];
    if (t < 0) continue;
    for (let c = 0; c < 3; c++) {
      points[t * 3 + c] = raw.points[i * 3 + c];
      normals[t * 3 + c] = raw.normals[i * 3 + c];
    }
    labels[t] = raw.labels[i];
  }
  const triangles = new Uint32Array(raw.triangles.length);
  let used = 0;
  for (let i = 0; i < raw.triangles.length; i += 3) {
    const a = to[raw.triangles[i]];
    const b = to[raw.triangles[i + 1]];
    const c = to[raw.triangles[i + 2]];
    if (a < 0 || b < 0 || c < 0) continue;
    triangles[used++] = a;
    triangles[used++] = b;
    triangles[used++] = c;
  }
  return { points, normals, labels, triangles: triangles.slice(0, used) };
}
