import type { Random } from '../numerics/random.ts';
import { PART } from './part.ts';
import type { ScanSettings } from './scan-settings.ts';
import { joinMeshes, type SurfaceMesh } from './surface-mesh.ts';

/** How far single wild points are thrown, standard deviation, mm. */
const THROW = 5;

/** Throws single points off the surface. */
export function throwWildPoints(p: Float64Array, labels: Uint8Array, settings: ScanSettings, random: Random): void {
  const n = labels.length;
  const wild = Math.round(settings.outliers.share * n);
  for (let w = 0; w < wild; w++) {
    const i = Math.floor(random.uniform() * n);
    for (let k = 0; k < 3; k++) p[3 * i + k] += THROW * random.normal();
    labels[i] = PART.stray;
  }
}

/** Adds small clouds of loose triangles beside the instrument, as reflections and a moved hand leave them. */
export function addStrayClusters(mesh: SurfaceMesh, settings: ScanSettings, random: Random): SurfaceMesh {
  const pieces: SurfaceMesh[] = [mesh];
  const n = mesh.labels.length;
  for (let c = 0; c < settings.outliers.clusters; c++) {
    const near = Math.floor(random.uniform() * n);
    const size = settings.spacing * (4 + 14 * random.uniform());
    const centre = [0, 1, 2].map((k) => mesh.positions[3 * near + k] + 40 * settings.spacing * random.normal());
    const count = 30 + Math.floor(150 * random.uniform());
    const positions = new Float64Array(9 * count);
    for (let t = 0; t < count; t++) {
      const at = centre.map((v) => v + size * random.normal());
      for (let k = 0; k < 3; k++) for (let a = 0; a < 3; a++) positions[9 * t + 3 * k + a] = at[a] + settings.spacing * random.normal();
    }
    pieces.push({
      positions,
      triangles: Uint32Array.from({ length: 3 * count }, (_, i) => i),
      labels: new Uint8Array(3 * count).fill(PART.stray),
    });
  }
  return joinMeshes(pieces);
}
