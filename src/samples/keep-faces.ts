import type { SurfaceMesh } from './surface-mesh.ts';

/**
 * Merges and drops points: `into[i]` is the point that i is merged into, itself, or −1. Triangles that lose a corner or collapse go, and so do
 * points that no triangle uses any more. A cloud without triangles keeps every point that stands for itself.
 *
 * @returns the new mesh and, for each of its points, which one it was
 */
export function keepFaces(mesh: SurfaceMesh, into: Int32Array): { readonly mesh: SurfaceMesh; readonly from: Uint32Array } {
  const { positions: p, triangles, labels } = mesh;
  const used = new Uint8Array(labels.length);
  const kept = new Uint32Array(triangles.length);
  let corners = 0;
  for (let t = 0; t < triangles.length; t += 3) {
    const a = into[triangles[t]];
    const b = into[triangles[t + 1]];
    const c = into[triangles[t + 2]];
    if (a < 0 || b < 0 || c < 0 || a === b || b === c || a === c) continue;
    kept[corners] = a;
    kept[corners + 1] = b;
    kept[corners + 2] = c;
    corners += 3;
    used[a] = 1;
    used[b] = 1;
    used[c] = 1;
  }
  if (triangles.length === 0) for (let i = 0; i < used.length; i++) used[i] = into[i] === i ? 1 : 0;
  let n = 0;
  const index = new Uint32Array(labels.length);
  for (let i = 0; i < used.length; i++) if (used[i]) index[i] = n++;
  const positions = new Float64Array(3 * n);
  const newLabels = new Uint8Array(n);
  const from = new Uint32Array(n);
  for (let i = 0; i < used.length; i++) {
    if (!used[i]) continue;
    const k = index[i];
    from[k] = i;
    newLabels[k] = labels[i];
    for (let c = 0; c < 3; c++) positions[3 * k + c] = p[3 * i + c];
  }
  const out = kept.slice(0, corners);
  for (let k = 0; k < corners; k++) out[k] = index[out[k]];
  return { mesh: { positions, triangles: out, labels: newLabels }, from };
}
