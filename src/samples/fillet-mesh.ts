import type { ModelInstrument } from './model-instrument.ts';
import { sweepNeck } from './neck-sweep.ts';
import { PART } from './part.ts';
import { flipped, gridMesh, joinMeshes, type SurfaceMesh } from './surface-mesh.ts';
import { toNeck } from './to-neck.ts';

const STEPS = 8;

/** Glue or filler in the corner between the neck root's sides and ribs and edge: a hollow quarter round. Empty where the corner is sharp. */
export function filletMesh(instrument: ModelInstrument, spacing: number): SurfaceMesh {
  const { body, neck, spec } = instrument;
  const r = spec.neck.fillet;
  if (r === 0) return { positions: new Float64Array(0), triangles: new Uint32Array(0), labels: new Uint8Array(0) };
  const { edgeThickness, overhang, crestInset } = spec.body;
  const sweep = sweepNeck(neck, body);
  const up = edgeThickness / 2;
  const low = body.backUpperZ(0, 0, overhang);
  const high = -0.2 * up;
  const rows = Math.ceil((high - low) / Math.min(spacing, 0.5 * up)) + 1;
  // How far inside the outline the body's outer surface stands at a height.
  const inset = (z: number): number => {
    if (z > -up) return crestInset * (1 - Math.sqrt(Math.max(0, 1 - ((z + up) / up) ** 2)));
    if (z > -1.8 * up) return 0.8 * crestInset * (1 - Math.sqrt(Math.max(0, 1 - ((-z - up) / up) ** 2)));
    return overhang;
  };
  const { outline } = body;
  const corner = (side: -1 | 1, z: number): readonly [number, number] => {
    const d = inset(z);
    const p = new Float64Array(3);
    let before: readonly [number, number] = [0, 0];
    for (let k = 0; k < outline.count / 8; k++) {
      const i = side < 0 ? k : (outline.count - k) % outline.count;
      const x = outline.x[i] + d * outline.nx[i];
      const y = outline.y[i] + d * outline.ny[i];
      p[0] = x;
      p[1] = y;
      p[2] = z;
      body.deform(p);
      const q = toNeck(neck, [p[0], p[1], p[2]]);
      if (Math.abs(q[1]) > sweep.halfWidth(q[0], q[2])) return before;
      before = [x, y];
    }
    return before;
  };
  const strip = (side: -1 | 1): SurfaceMesh =>
    gridMesh(
      rows,
      STEPS,
      (i, j, out) => {
        const z = low + ((high - low) * i) / (rows - 1);
        if (j === 0) at = corner(side, z);
        const a = (0.5 * Math.PI * j) / (STEPS - 1);
        // Ends are buried a little, so that no slit stays open.
        const size = r + 0.15;
        out[0] = at[0] + 0.1 - size * (1 - Math.sin(a));
        out[1] = at[1] - side * 0.1 + side * size * (1 - Math.cos(a));
        out[2] = z;
        body.deform(out);
      },
      PART.fillet,
    );
  let at: readonly [number, number] = [0, 0];
  return joinMeshes([flipped(strip(-1)), strip(1)]);
}
