import { ribRing } from './body-mesh.ts';
import type { ModelInstrument } from './model-instrument.ts';
import { PART } from './part.ts';
import { gridMesh, joinMeshes, movedMesh, type SurfaceMesh } from './surface-mesh.ts';

/** Thickness of plates and ribs, as shares of the edge's thickness. */
const PLATE = 0.75;
const RIB = 0.3;

/** The inside of plates and ribs, as a tomogram shows it, facing the air inside. */
export function innerMesh(instrument: ModelInstrument, spacing: number): SurfaceMesh {
  const { body } = instrument;
  const t = body.spec.edgeThickness;
  const ring = ribRing(body, spacing);
  const L = body.spec.outline.length;
  const centre = (x: number) => Math.min(0.8 * L, Math.max(0.2 * L, x));
  // Rings shrink from the ribs towards the middle line.
  const rings = Math.ceil(body.spec.outline.widthLower / 2 / spacing);
  const plate = (top: boolean) =>
    gridMesh(
      rings,
      ring.length + 1,
      (i, j, out) => {
        const [x, y] = ring[j % ring.length];
        const f = (RIB * t) / Math.hypot(x - centre(x), y) + (i / rings) * (1 - (RIB * t) / Math.hypot(x - centre(x), y));
        out[0] = x + f * (centre(x) - x);
        out[1] = y * (1 - f);
        const d = body.edgeDistance(out[0], out[1]);
        out[2] = top ? body.topZ(out[0], out[1], d) - PLATE * t : body.backZ(out[0], out[1], d) + PLATE * t;
      },
      PART.inner,
    );
  const turned = plate(false);
  const back: SurfaceMesh = { ...turned, triangles: turned.triangles.map((_, k, a) => a[k - (k % 3) + [0, 2, 1][k % 3]]) };
  const rows = Math.ceil(body.spec.ribLower / spacing) + 1;
  const ribs = gridMesh(
    rows,
    ring.length + 1,
    (i, j, out) => {
      const [x, y] = ring[(ring.length - (j % ring.length)) % ring.length];
      const f = (RIB * t) / Math.hypot(x - centre(x), y);
      out[0] = x + f * (centre(x) - x);
      out[1] = y * (1 - f);
      const top = body.topUnderZ(x, y, body.spec.overhang);
      const bottom = body.backUpperZ(x, y, body.spec.overhang);
      out[2] = top + ((bottom - top) * i) / (rows - 1);
    },
    PART.inner,
  );
  return movedMesh(joinMeshes([plate(true), back, ribs]), body.deform);
}
