import type { Random } from '../numerics/random.ts';
import { buttonFaceZ } from './button-face.ts';
import type { ModelInstrument } from './model-instrument.ts';
import { PART } from './part.ts';
import type { Stand } from './scan-settings.ts';
import { gridMesh, joinMeshes, type SurfaceMesh } from './surface-mesh.ts';
import { tube } from './tube.ts';

/** What holds the instrument while it is scanned, in drawing coordinates; empty for `none`. */
export function standMesh(instrument: ModelInstrument, stand: Stand, spacing: number, random: Random): SurfaceMesh {
  const L = instrument.spec.body.outline.length;
  const u = L / 355;
  const step = Math.max(spacing, 0.8 * u);
  const lowest = buttonFaceZ(instrument.body) - instrument.spec.body.archBack;
  const half = instrument.spec.body.outline.widthLower / 2;
  if (stand === 'table') {
    // It lies a little askew on its back's arching.
    const tilt = 0.02 * random.normal();
    const roll = 0.02 * random.normal();
    return sheet(
      -0.75 * L,
      1.2 * L,
      -1.3 * half,
      1.3 * half,
      step,
      (x, y) => lowest - 0.4 * u + tilt * (x - 0.5 * L) + roll * y - Math.abs(tilt) * 0.5 * L * 0.1,
    );
  }
  if (stand === 'cradle')
    return joinMeshes([block(0.2 * L, 0.3 * L, half, lowest, u, step), block(0.74 * L, 0.86 * L, 1.15 * half, lowest, u, step)]);
  if (stand === 'stand') {
    const back = lowest - 40 * u;
    return joinMeshes([
      tube(
        [
          [1.25 * L, 0, back],
          [-0.45 * L, 0, back + 10 * u],
        ],
        9 * u,
        step,
        PART.stand,
      ),
      tube(
        [
          [1.02 * L, -60 * u, back],
          [1.03 * L, -60 * u, buttonFaceZ(instrument.body) * 0.2],
        ],
        6 * u,
        step,
        PART.stand,
      ),
      tube(
        [
          [1.02 * L, 60 * u, back],
          [1.03 * L, 60 * u, buttonFaceZ(instrument.body) * 0.2],
        ],
        6 * u,
        step,
        PART.stand,
      ),
      tube(
        [
          [1.02 * L, -60 * u, back],
          [1.02 * L, 60 * u, back],
        ],
        6 * u,
        step,
        PART.stand,
      ),
      tube(
        [
          [-0.2 * L, -26 * u, back + 8 * u],
          [-0.2 * L, -26 * u, -12 * u],
        ],
        5 * u,
        step,
        PART.stand,
      ),
      tube(
        [
          [-0.2 * L, 26 * u, back + 8 * u],
          [-0.2 * L, 26 * u, -12 * u],
        ],
        5 * u,
        step,
        PART.stand,
      ),
      tube(
        [
          [-0.2 * L, -26 * u, back + 8 * u],
          [-0.2 * L, 26 * u, back + 8 * u],
        ],
        5 * u,
        step,
        PART.stand,
      ),
    ]);
  }
  return { positions: new Float64Array(0), triangles: new Uint32Array(0), labels: new Uint8Array(0) };
}

/** A level sheet that faces up. */
function sheet(x0: number, x1: number, y0: number, y1: number, step: number, height: (x: number, y: number) => number): SurfaceMesh {
  const rows = Math.ceil((x1 - x0) / step) + 1;
  const columns = Math.ceil((y1 - y0) / step) + 1;
  return gridMesh(
    rows,
    columns,
    (i, j, out) => {
      out[0] = x0 + ((x1 - x0) * i) / (rows - 1);
      out[1] = y0 + ((y1 - y0) * j) / (columns - 1);
      out[2] = height(out[0], out[1]);
    },
    PART.stand,
  );
}

/** A padded block: the back sinks a little into its top. */
function block(x0: number, x1: number, half: number, lowest: number, u: number, step: number): SurfaceMesh {
  const foot = lowest - 70 * u;
  const path: [number, number][] = [
    [x0, foot],
    [x0, lowest + 2 * u],
    [x0 + 5 * u, lowest + 7 * u],
    [x1 - 5 * u, lowest + 7 * u],
    [x1, lowest + 2 * u],
    [x1, foot],
  ];
  const fine: [number, number][] = [];
  for (let k = 0; k + 1 < path.length; k++) {
    const m = Math.max(1, Math.ceil(Math.hypot(path[k + 1][0] - path[k][0], path[k + 1][1] - path[k][1]) / step));
    for (let q = 0; q < m; q++)
      fine.push([path[k][0] + ((path[k + 1][0] - path[k][0]) * q) / m, path[k][1] + ((path[k + 1][1] - path[k][1]) * q) / m]);
  }
  fine.push(path[path.length - 1]);
  const columns = Math.ceil((2 * half) / step) + 1;
  return gridMesh(
    fine.length,
    columns,
    (i, j, out) => {
      const y = -half + (2 * half * j) / (columns - 1);
      const hollow = 6 * u * (1 - (y / half) ** 2);
      out[0] = fine[i][0];
      out[1] = y;
      out[2] = fine[i][1] - (fine[i][1] > lowest ? hollow : 0);
    },
    PART.stand,
  );
}
