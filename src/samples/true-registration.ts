import { applyToPoints, identity, type Motion } from '../geometry/motion.ts';
import { NormalEquations } from '../numerics/normal-equations.ts';
import { BLOCK } from './block-turn.ts';
import { meshBody } from './body-mesh.ts';
import type { InstrumentChange } from './changed-instrument.ts';
import type { ModelInstrument } from './model-instrument.ts';
import { PART } from './part.ts';
import { pointNormals, type SurfaceMesh } from './surface-mesh.ts';
import { turnAbout } from './turn.ts';
import { trueFrame } from './truth-frame.ts';

export interface TrueRegistration {
  /** Later state to the first, both in the instrument frame of the first. */
  readonly motion: Motion;
  /** RMS distance along the normals that is left, even by area, mm. */
  readonly residual: number;
}

/** Distance of the places at which bodies are compared, as a share of the body's length: 3.5 mm on a violin. */
const SPACING = 0.01;
const BODY: ReadonlySet<number> = new Set([PART.top, PART.edge, PART.ribs, PART.back]);
const NONE: TrueRegistration = { motion: identity(), residual: 0 };

/**
 * The registration of a changed body by its definition: the motion that minimises the mean square, even by area, of the distance along the first state's normal
 * over top, ribs and back, seen or not. Where the block moved, its stretch is left out. Nothing where the body kept its shape.
 */
export function trueRegistration(first: ModelInstrument, later: ModelInstrument, change: InstrumentChange): TrueRegistration {
  if (change.swell === 0 && change.block === 0) return NONE;
  const { motion, bodyLength } = trueFrame(first);
  // Both meshes are drawn by the same plan: their points belong together.
  const [a, b] = [first, later].map((i) => meshBody(i.body, SPACING * bodyLength));
  const p = applyToPoints(motion, a.positions, new Float64Array(a.positions.length));
  const q = applyToPoints(motion, b.positions, new Float64Array(b.positions.length));
  const n = pointNormals({ positions: p, triangles: a.triangles });
  const area = areasOf(p, a);
  const centre = bodyLength / 2;
  const from = change.block === 0 ? Number.NEGATIVE_INFINITY : BLOCK * bodyLength;
  const rows: { readonly row: readonly number[]; readonly d: number; readonly area: number }[] = [];
  for (let i = 0; i < a.labels.length; i++) {
    const k = 3 * i;
    if (!BODY.has(a.labels[i]) || p[k] < from) continue;
    const [x, y, z] = [p[k] - centre, p[k + 1], p[k + 2]];
    const [u, v, w] = [n[k], n[k + 1], n[k + 2]];
    const d = u * (q[k] - p[k]) + v * (q[k + 1] - p[k + 1]) + w * (q[k + 2] - p[k + 2]);
    rows.push({ row: [w * y - v * z, u * z - w * x, v * x - u * y, u, v, w], d, area: area[i] });
  }
  const equations = new NormalEquations(6);
  for (const r of rows) equations.add(r.row, -r.d, r.area);
  const c = equations.solve().coefficients;
  let [squares, total] = [0, 0];
  for (const r of rows) {
    squares += r.area * (r.d + r.row.reduce((s, v, j) => s + v * c[j], 0)) ** 2;
    total += r.area;
  }
  return { motion: turnAbout([c[0], c[1], c[2]], [centre, 0, 0], [c[3], c[4], c[5]]), residual: Math.sqrt(squares / total) };
}

/** A third of the facets round each point, mm². */
function areasOf(p: Float64Array, { triangles, labels }: SurfaceMesh): Float64Array {
  const area = new Float64Array(labels.length);
  for (let t = 0; t < triangles.length; t += 3) {
    const [a, b, c] = [3 * triangles[t], 3 * triangles[t + 1], 3 * triangles[t + 2]];
    const [ux, uy, uz] = [p[b] - p[a], p[b + 1] - p[a + 1], p[b + 2] - p[a + 2]];
    const [vx, vy, vz] = [p[c] - p[a], p[c + 1] - p[a + 1], p[c + 2] - p[a + 2]];
    const third = Math.hypot(uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx) / 6;
    for (let k = 0; k < 3; k++) area[triangles[t + k]] += third;
  }
  return area;
}
