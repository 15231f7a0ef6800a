import { chinRestMesh, endButtonMesh, pegsMesh, shoulderRestMesh, tailgutMesh } from './furniture.ts';
import type { Dress, ModelInstrument } from './model-instrument.ts';
import { PART } from './part.ts';
import { bridgeCrown, bridgeFootZ, bridgeSection, stringLines, tailpieceZ } from './string-lines.ts';
import { flipped, gridMesh, joinMeshes, type SurfaceMesh } from './surface-mesh.ts';
import { tube } from './tube.ts';

const lerp = (a: number, b: number, t: number) => a + (b - a) * t;

/** What an instrument wears, as triangles in drawing coordinates. */
export function meshFittings(instrument: ModelInstrument, spacing: number, dress: Dress): SurfaceMesh {
  const pieces: SurfaceMesh[] = [
    bridgeMesh(instrument, spacing),
    tailpieceMesh(instrument, spacing),
    tailgutMesh(instrument, spacing),
    endButtonMesh(instrument, spacing),
    pegsMesh(instrument, spacing),
  ];
  if (dress !== 'strung' && instrument.spec.fittings.chinRest !== 'none') pieces.push(chinRestMesh(instrument, spacing));
  if (dress === 'full') pieces.push(shoulderRestMesh(instrument, spacing));
  for (const line of stringLines(instrument)) {
    pieces.push(tube([line.nut, line.bridge], line.radius, spacing, PART.strings));
    pieces.push(tube([line.bridge, line.tail], line.radius, spacing, PART.strings));
  }
  return joinMeshes(pieces);
}

/** The bridge: a tapering plate that leans, cut out between its feet and at its waist. */
function bridgeMesh(instrument: ModelInstrument, spacing: number): SurfaceMesh {
  const { spec } = instrument;
  const f = spec.fittings;
  const half = f.bridgeWidth / 2;
  const rows = Math.max(8, Math.ceil((bridgeCrown(instrument, 0)[1] - spec.body.archTop) / spacing));
  const yMid = 0;
  const across = Math.max(12, Math.ceil(f.bridgeWidth / spacing));
  const columns = across + 1;
  const sheet = (face: -1 | 1) =>
    gridMesh(
      rows + 1,
      columns,
      (i, j, out) => {
        const t = i / rows;
        const v = (2 * j) / across - 1;
        const waist = 1 - 0.2 * Math.exp(-(((t - 0.38) / 0.16) ** 2)) - 0.1 * t;
        const y = yMid + v * half * waist;
        const arc = Math.max(0, 1 - (v / 0.55) ** 2);
        const low = bridgeFootZ(instrument, v * half) + 0.19 * (bridgeCrown(instrument, 0)[1] - spec.body.archTop) * arc ** 0.6;
        const high = bridgeCrown(instrument, v * half * 0.9)[1];
        const z = lerp(low, high, t);
        const [tail, thick] = bridgeSection(instrument, z, t);
        out[0] = tail - (face > 0 ? 0 : thick);
        out[1] = y + lerp(0, bridgeCrown(instrument, 0)[0], t);
        out[2] = z;
      },
      PART.bridge,
    );
  const front = sheet(-1);
  const back = flipped(sheet(1));
  return joinMeshes([front, back, flipped(rimMesh(front, back, rows + 1, columns))]);
}

/** Closes two sheets of one grid along their border. */
function rimMesh(a: SurfaceMesh, b: SurfaceMesh, rows: number, columns: number): SurfaceMesh {
  const border: number[] = [];
  for (let j = 0; j < columns; j++) border.push(j);
  for (let i = 1; i < rows; i++) border.push(i * columns + columns - 1);
  for (let j = columns - 2; j >= 0; j--) border.push((rows - 1) * columns + j);
  for (let i = rows - 2; i >= 0; i--) border.push(i * columns);
  return gridMesh(
    3,
    border.length,
    (i, j, out) => {
      const k = 3 * border[j];
      for (let c = 0; c < 3; c++) out[c] = lerp(a.positions[k + c], b.positions[k + c], i / 2);
    },
    PART.bridge,
  );
}

function tailpieceMesh(instrument: ModelInstrument, spacing: number): SurfaceMesh {
  const { body, spec } = instrument;
  const f = spec.fittings;
  const L = spec.body.outline.length;
  const x1 = L * 0.93;
  const x0 = x1 - f.tailpieceLength;
  const rows = Math.ceil(f.tailpieceLength / spacing) + 1;
  const columns = 2 * (Math.ceil(f.tailpieceWidth / spacing) + 1);
  const mesh = gridMesh(
    rows,
    columns + 1,
    (i, j, out) => {
      const t = i / (rows - 1);
      const half =
        lerp(f.tailpieceWidth / 2, 0.26 * f.tailpieceWidth, t ** 1.2) *
        Math.min(1, Math.sqrt(t / 0.03 + 0.02), Math.sqrt((1 - t) / 0.03 + 0.02));
      const phi = (2 * Math.PI * j) / columns;
      const y = -half * Math.cos(phi);
      const thick = 3.2 * (L / 355);
      const crown = 0.28 * half * (1 - (y / Math.max(half, 0.01)) ** 2);
      out[0] = lerp(x0, x1, t);
      out[1] = y;
      out[2] = tailpieceZ(instrument, t) + crown + (Math.sin(phi) * thick) / 2;
      body.deform(out);
    },
    PART.tailpiece,
  );
  return mesh;
}
