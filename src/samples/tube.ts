import { gridMesh, type Label, type SurfaceMesh } from './surface-mesh.ts';

const lerp = (a: number, b: number, t: number) => a + (b - a) * t;

/** A round bar along points; its radius may vary from point to point. */
export function tube(path: readonly (readonly number[])[], radius: number | readonly number[], spacing: number, label: Label): SurfaceMesh {
  const s = [0];
  for (let i = 1; i < path.length; i++)
    s.push(s[i - 1] + Math.hypot(path[i][0] - path[i - 1][0], path[i][1] - path[i - 1][1], path[i][2] - path[i - 1][2]));
  const radii = typeof radius === 'number' ? path.map(() => radius) : radius;
  const total = s[s.length - 1];
  const rows = Math.max(path.length, Math.ceil(total / spacing) + 1);
  const columns = Math.max(7, Math.ceil((2 * Math.PI * Math.max(...radii)) / spacing) + 1);
  let seg = 0;
  return gridMesh(
    rows,
    columns,
    (i, j, out) => {
      const at = (total * i) / (rows - 1);
      if (j === 0) {
        seg = 0;
        while (seg + 2 < s.length && s[seg + 1] < at) seg++;
      }
      const f = (at - s[seg]) / (s[seg + 1] - s[seg]);
      const a = path[seg];
      const b = path[seg + 1];
      const d = [0, 1, 2].map((k) => (b[k] - a[k]) / (s[seg + 1] - s[seg]));
      // Two directions across: one level, one upright.
      const h = Math.hypot(d[0], d[1]);
      const e1 = h > 1e-9 ? [-d[1] / h, d[0] / h, 0] : [1, 0, 0];
      const e2 = [d[1] * e1[2] - d[2] * e1[1], d[2] * e1[0] - d[0] * e1[2], d[0] * e1[1] - d[1] * e1[0]];
      const phi = (2 * Math.PI * j) / (columns - 1);
      const r = lerp(radii[seg], radii[seg + 1], f);
      for (let k = 0; k < 3; k++) out[k] = lerp(a[k], b[k], f) + r * (Math.cos(phi) * e1[k] - Math.sin(phi) * e2[k]);
    },
    label,
  );
}
