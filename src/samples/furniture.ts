import { buttonFaceZ } from './button-face.ts';
import { tailpieceZ } from './string-lines.ts';
import type { ModelInstrument } from './model-instrument.ts';
import { headShape } from './head-mesh.ts';
import { PART } from './part.ts';
import { flipped, gridMesh, joinMeshes, movedMesh, type SurfaceMesh } from './surface-mesh.ts';
import { tube } from './tube.ts';

const lerp = (a: number, b: number, t: number) => a + (b - a) * t;
const unitOf = (instrument: ModelInstrument) => instrument.spec.body.outline.length / 355;

/** Height in drawing coordinates, before distortion, of the middle of the lower ribs. */
const ribMiddle = (instrument: ModelInstrument) => buttonFaceZ(instrument.body) / 2;

/** Two strands from the tailpiece over the saddle to the end button. */
export function tailgutMesh(instrument: ModelInstrument, spacing: number): SurfaceMesh {
  const { spec, body } = instrument;
  const L = spec.body.outline.length;
  const u = unitOf(instrument);
  const z = ribMiddle(instrument);
  const strands = [-1, 1].map((side) => {
    const path = [
      [0.925 * L, side * 3 * u, tailpieceZ(instrument, 0.98)],
      [L - 2 * u, side * 2.6 * u, 3.6 * u],
      [L + 1.2 * u, side * 2.4 * u, 1.5 * u],
      [L + 1.5 * u, side * 2 * u, z],
    ].map(([x, y, h]) => {
      const p = new Float64Array([x, y, h]);
      body.deform(p);
      return [...p];
    });
    return tube(path, 0.55 * u ** 0.8, spacing, PART.tailpiece);
  });
  return joinMeshes(strands);
}

/** End button, turned; a cello's or bass's spike is left in. */
export function endButtonMesh(instrument: ModelInstrument, spacing: number): SurfaceMesh {
  const { spec, body } = instrument;
  const L = spec.body.outline.length;
  const u = unitOf(instrument);
  const z = ribMiddle(instrument);
  const profile: [number, number][] = [
    [-4, 4],
    [0, 4.2],
    [1.5, 5.6],
    [4, 7.2],
    [8, 7.5],
    [11, 5.5],
    [12, 2.5],
    [12.2, 0.05],
  ];
  const path = profile.map(([x]) => {
    const p = new Float64Array([L + x * u, 0, z]);
    body.deform(p);
    return [...p];
  });
  return tube(
    path,
    profile.map(([, r]) => r * u ** 0.85),
    Math.min(spacing, u),
    PART.endButton,
  );
}

/** Four pegs through the pegbox, heads flattened. */
export function pegsMesh(instrument: ModelInstrument, spacing: number): SurfaceMesh {
  const { neck } = instrument;
  const g = headShape(neck);
  const u = g.unit;
  const pegs = [0.2, 0.38, 0.58, 0.76].map((t, k) => {
    const side = k % 2 === 0 ? -1 : 1;
    const x = g.x0 - g.length * t;
    const depth = lerp(g.depthNut, g.depthScroll, t ** 0.8);
    const z = g.z0 - g.drop * t * t - 0.42 * depth;
    const half = lerp(g.halfNut, g.halfScroll, t);
    const along = [
      -(half + 2 * u),
      half,
      half + 6 * u,
      half + 7.5 * u,
      half + 9 * u,
      half + 14 * u,
      half + 19 * u,
      half + 22 * u,
      half + 22.6 * u,
    ];
    const radii = [2.6, 3.3, 3.6, 4.9, 3.2, 6.6, 7.4, 4.6, 0.1].map((r) => r * u);
    const bar = tube(
      along.map((y) => [x, side * y, z]),
      radii,
      Math.min(spacing, u),
      PART.pegs,
    );
    // Heads are flat: squeezed along the neck's length, each turned its own way.
    const turn = 0.5 + 1.1 * k;
    return movedMesh(bar, (p) => {
      const far = Math.min(1, Math.max(0, (side * p[1] - half - 8.5 * u) / (3 * u)));
      const dx = p[0] - x;
      const dz = p[2] - z;
      const c = Math.cos(turn);
      const s = Math.sin(turn);
      const a = (dx * c + dz * s) * (1 - 0.55 * far);
      const b = -dx * s + dz * c;
      p[0] = x + a * c - b * s;
      p[2] = z + a * s + b * c;
    });
  });
  return movedMesh(joinMeshes(pegs), neck.place);
}

/** A chin rest on the bass side of the tail: a dished plate on two clamps. */
export function chinRestMesh(instrument: ModelInstrument, spacing: number): SurfaceMesh {
  const { spec, body } = instrument;
  const L = spec.body.outline.length;
  const u = unitOf(instrument);
  const cx = L - 34 * u;
  const cy = -47 * u;
  const ax = 36 * u;
  const ay = 46 * u;
  const rows = Math.ceil(ax / spacing) + 1;
  const columns = Math.ceil((2 * Math.PI * ay) / spacing) + 1;
  const plate = (top: boolean) =>
    gridMesh(
      rows,
      columns,
      (i, j, out) => {
        const r = 1 - i / (rows - 1);
        const phi = (2 * Math.PI * j) / (columns - 1);
        out[0] = cx + ax * r * Math.cos(phi);
        out[1] = cy + ay * r * Math.sin(phi);
        // Dished above, level below, rounded rim.
        const dish = top ? 16 * u + 7 * u * r ** 2.4 - 3 * u * Math.max(0, r - 0.9) * 10 * (r - 0.9) * 10 : 12 * u + 8 * u * r ** 3;
        out[2] = dish;
        body.deform(out);
      },
      PART.chinRest,
    );
  const clamps = [-1, 1].map((k) => {
    const at = (x: number, y: number, z: number) => {
      const p = new Float64Array([x, y, z]);
      body.deform(p);
      return [...p];
    };
    const y = -30 * u + k * 12 * u;
    const x = L - (0.0023 * y * y) / u;
    return tube(
      [
        at(x - 10 * u, y, 13 * u),
        at(x + 2 * u, y, 6 * u),
        at(x + 3 * u, y, -14 * u),
        at(x + 3 * u, y, buttonFaceZ(body) - 2 * u),
        at(x - 5 * u, y, buttonFaceZ(body) - 3 * u),
      ],
      2 * u,
      spacing,
      PART.chinRest,
    );
  });
  return joinMeshes([flipped(plate(true)), plate(false), ...clamps]);
}

/** A shoulder rest under the back: a bowed bar on four feet. */
export function shoulderRestMesh(instrument: ModelInstrument, spacing: number): SurfaceMesh {
  const { spec, body } = instrument;
  const L = spec.body.outline.length;
  const u = unitOf(instrument);
  const face = buttonFaceZ(body);
  const half = spec.body.outline.widthLower / 2;
  const at = (x: number, y: number, z: number) => {
    const p = new Float64Array([x, y, z]);
    body.deform(p);
    return [...p];
  };
  const bar: number[][] = [];
  for (let k = 0; k <= 24; k++) {
    const v = k / 12 - 1;
    bar.push(at(0.8 * L + 12 * u * v, v * 0.92 * half, face - 38 * u + 14 * u * v * v + 4 * u * v));
  }
  const pieces = [tube(bar, 8 * u, spacing, PART.shoulderRest)];
  for (const v of [-1, 1]) {
    for (const dx of [-22, 22]) {
      const x = 0.8 * L + 12 * u * v + dx * u;
      pieces.push(
        tube(
          [
            at(0.8 * L + 12 * u * v, v * 0.9 * half, face - 24 * u),
            at(x, v * 0.94 * half, face - 12 * u),
            at(x, v * 0.985 * half, face - 1 * u),
            at(x, v * 0.985 * half, face + 9 * u),
          ],
          3 * u,
          spacing,
          PART.shoulderRest,
        ),
      );
    }
  }
  return joinMeshes(pieces);
}
