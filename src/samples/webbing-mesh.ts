import type { Random } from '../numerics/random.ts';
import { stringLines } from './string-lines.ts';
import type { ModelInstrument } from './model-instrument.ts';
import { PART } from './part.ts';
import { gridMesh, joinMeshes, type SurfaceMesh } from './surface-mesh.ts';
import { toNeck } from './to-neck.ts';

/** Sheets that a mesher spans between a string and the board beneath it. */
export function webbingMesh(instrument: ModelInstrument, count: number, spacing: number, random: Random): SurfaceMesh {
  const { neck } = instrument;
  const lines = stringLines(instrument);
  const pieces: SurfaceMesh[] = [];
  for (let k = 0; k < count; k++) {
    const line = lines[Math.floor(random.uniform() * lines.length)];
    const reach = 0.72;
    const from = reach * random.uniform();
    const to = Math.min(reach, from + 0.02 + 0.12 * random.uniform());
    const lean = 0.6 * random.normal();
    const length = (to - from) * Math.hypot(line.bridge[0] - line.nut[0], line.bridge[2] - line.nut[2]);
    const rows = Math.max(2, Math.ceil(length / spacing) + 1);
    pieces.push(
      gridMesh(
        rows,
        5,
        (i, j, out) => {
          const t = from + ((to - from) * i) / (rows - 1);
          const p = [0, 1, 2].map((c) => line.nut[c] + t * (line.bridge[c] - line.nut[c]));
          const q = toNeck(neck, [p[0], p[1], p[2]]);
          const z = neck.surfaceZ(q[0], q[1]);
          const f = j / 4;
          // Ragged, and not quite straight down.
          out[0] = q[0];
          out[1] = q[1] + lean * f * (q[2] - z);
          out[2] = q[2] - line.radius + f * (z - q[2] + line.radius);
          neck.place(out);
        },
        PART.webbing,
      ),
    );
  }
  return joinMeshes(pieces);
}
