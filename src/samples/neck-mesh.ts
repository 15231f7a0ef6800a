import type { Body } from './body.ts';
import type { Neck, Side } from './neck.ts';
import { pegboxMesh, scrollMesh } from './head-mesh.ts';
import { sectionPoint, sweepNeck } from './neck-sweep.ts';
import { PART } from './part.ts';
import { flipped, gridMesh, joinMeshes, type Label, type SurfaceMesh } from './surface-mesh.ts';

/** Points over the rounding of an arris. */
const ARRIS_STEPS = 5;

/** Neck, heel, board, nut and head in neck coordinates. */
export function meshNeck(neck: Neck, body: Body, spacing: number): SurfaceMesh {
  return joinMeshes([
    boardMesh(neck, spacing),
    boardUndersideMesh(neck, spacing),
    boardEndMesh(neck, spacing),
    nutMesh(neck, spacing),
    neckMesh(neck, body, spacing),
    rootFaceMesh(neck, body, spacing),
    pegboxMesh(neck, spacing),
    scrollMesh(neck, spacing),
  ]);
}

const steps = (length: number, spacing: number) => Math.max(2, Math.ceil(length / spacing) + 1);
const lerp = (a: number, b: number, t: number) => a + (b - a) * t;

/** Sides, rounded arrises and playing surface, from the lower bass arris to the lower treble arris. */
function boardMesh(neck: Neck, spacing: number): SurfaceMesh {
  const b = neck.spec.board;
  const sideRows = steps(b.edgeEnd, 0.7 * spacing);
  const across = steps(b.widthEnd, spacing);
  const columns = 2 * sideRows + 2 * ARRIS_STEPS + across - 2;
  const rows = steps(b.length, spacing);
  const label = (_i: number, j: number): Label => {
    const k = Math.min(j, columns - 1 - j);
    if (k >= sideRows + ARRIS_STEPS - 1) return PART.playingSurface;
    if (k >= sideRows) return PART.boardArris;
    return j < columns / 2 ? PART.boardSideBass : PART.boardSideTreble;
  };
  return gridMesh(
    rows,
    columns,
    (i, j, out) => {
      const x = lerp(neck.boardStart, neck.boardEnd, i / (rows - 1));
      const side: Side = j < columns / 2 ? -1 : 1;
      const k = Math.min(j, columns - 1 - j);
      const yu = neck.upperY(x, side);
      const yl = neck.lowerY(x, side);
      const zl = neck.lowerZ(x);
      const zu = neck.surfaceZ(x, yu);
      const below = b.arris / (zu - zl);
      const ySide = lerp(yu, yl, below);
      const zSide = lerp(zu, zl, below);
      const yIn = yu - side * b.arris;
      let y: number;
      let z: number;
      if (k < sideRows) {
        const t = k / (sideRows - 1);
        y = lerp(yl, ySide, t);
        z = lerp(zl, zSide, t);
      } else if (k < sideRows + ARRIS_STEPS - 1) {
        const t = (k - sideRows + 1) / ARRIS_STEPS;
        const m = 1 - t;
        y = m * m * ySide + 2 * m * t * yu + t * t * yIn;
        z = m * m * zSide + 2 * m * t * zu + t * t * neck.surfaceZ(x, yIn);
      } else {
        const first = sideRows + ARRIS_STEPS - 1;
        const a = neck.upperY(x, -1) + b.arris;
        const c = neck.upperY(x, 1) - b.arris;
        y = lerp(a, c, (j - first) / (columns - 1 - 2 * first));
        z = neck.surfaceZ(x, y);
      }
      out[0] =
        x -
        (x - neck.boardStart > 0.9 * b.length
          ? (b.endLean * (1 - z / Math.max(zu, 1)) * (x - neck.boardStart - 0.9 * b.length)) / (0.1 * b.length)
          : 0) *
          (z < zu ? 1 : 0);
      out[1] = y;
      out[2] = z;
    },
    label,
  );
}

/** The underside of the free board; the glued part, as far as just before the joint, is never seen. */
function boardUndersideMesh(neck: Neck, spacing: number): SurfaceMesh {
  const b = neck.spec.board;
  const from = -0.01 * b.length;
  const rows = steps(neck.boardEnd - from, spacing);
  const columns = steps(b.widthEnd, spacing);
  return flipped(
    gridMesh(
      rows,
      columns,
      (i, j, out) => {
        const x = lerp(from, neck.boardEnd, i / (rows - 1));
        const y = lerp(neck.lowerY(x, -1), neck.lowerY(x, 1), j / (columns - 1));
        out[0] = x - (x - neck.boardStart > 0.9 * b.length ? (b.endLean * (x - neck.boardStart - 0.9 * b.length)) / (0.1 * b.length) : 0);
        out[1] = y;
        out[2] = neck.undersideZ(x, y);
      },
      PART.boardUnderside,
    ),
  );
}

function boardEndMesh(neck: Neck, spacing: number): SurfaceMesh {
  const b = neck.spec.board;
  const x = neck.boardEnd;
  const columns = steps(b.widthEnd, spacing);
  const rows = steps(b.edgeEnd + 4, spacing);
  return gridMesh(
    rows,
    columns,
    (i, j, out) => {
      const t = i / (rows - 1);
      const v = j / (columns - 1);
      const yl = lerp(neck.lowerY(x, -1), neck.lowerY(x, 1), v);
      const yu = lerp(neck.upperY(x, -1), neck.upperY(x, 1), v);
      out[0] = x - b.endLean * t;
      out[1] = lerp(yu, yl, t);
      out[2] = lerp(neck.surfaceZ(x, yu), neck.undersideZ(x, yl), t);
    },
    PART.boardEnd,
  );
}

/** The nut: a block whose top has its own radius and drops towards the head. */
function nutMesh(neck: Neck, spacing: number): SurfaceMesh {
  const s = neck.spec;
  const half = s.board.widthNut / 2;
  const base = neck.surfaceZ(neck.boardStart, 0) + s.nutHeight - s.nutRadius;
  const topZ = (y: number) => base + Math.sqrt(s.nutRadius * s.nutRadius - y * y);
  const path: [number, number][] = [];
  const up = steps(s.board.edgeNut + 2, 0.6 * spacing);
  for (let k = 0; k < up; k++) path.push([0, k / (up - 1)]);
  const over = steps(s.nutLength, 0.6 * spacing);
  for (let k = 1; k < over; k++) {
    const t = k / (over - 1);
    path.push([-s.nutLength * t, 1 - 0.35 * Math.max(0, t - 0.25) ** 2]);
  }
  for (let k = 1; k < up; k++) path.push([-s.nutLength, (1 - 0.35 * 0.5625) * (1 - k / (up - 1))]);
  const flank = up;
  const across = steps(2 * half, 0.7 * spacing);
  const columns = across + 2 * (flank - 1);
  return flipped(
    gridMesh(
      path.length,
      columns,
      (i, j, out) => {
        const inner = Math.min(across - 1, Math.max(0, j - flank + 1));
        const y = lerp(-half, half, inner / (across - 1));
        const out0 = j < flank - 1 ? j / (flank - 1) : j > across + flank - 2 ? (columns - 1 - j) / (flank - 1) : 1;
        out[0] = neck.boardStart + path[i][0];
        out[1] = y;
        out[2] = topZ(y) * path[i][1] * out0;
      },
      PART.nut,
    ),
  );
}

/** Neck and heel: sections swept along the outer contour, fanned out round the throat. */
function neckMesh(neck: Neck, body: Body, spacing: number): SurfaceMesh {
  const sweep = sweepNeck(neck, body);
  const rows = steps(sweep.length, spacing);
  const columns = steps(2.2 * neck.spec.thicknessHeel + neck.spec.board.widthNut, spacing);
  let section = sweep.section(0);
  return flipped(
    gridMesh(
      rows,
      columns,
      (i, j, out) => {
        if (j === 0) section = sweep.section((sweep.length * i) / (rows - 1));
        sectionPoint(section, lerp(-Math.PI / 2, Math.PI / 2, j / (columns - 1)), out);
      },
      (i) => ((sweep.length * i) / (rows - 1) > sweep.throatAt ? PART.heel : PART.neck),
    ),
  );
}

/** The root's front face, seen between the top and the free board. */
function rootFaceMesh(neck: Neck, body: Body, spacing: number): SurfaceMesh {
  const sweep = sweepNeck(neck, body);
  const depth = Math.abs(neck.contour[neck.contour.length - 1][1]);
  const rows = steps(depth, spacing);
  const columns = steps(neck.spec.board.widthEnd, spacing);
  return gridMesh(
    rows,
    columns,
    (i, j, out) => {
      const c = sweep.section(lerp(sweep.turnAt, sweep.length, Math.sqrt(i / (rows - 1))));
      out[0] = c.px;
      out[1] = lerp(-c.half, c.half, j / (columns - 1));
      out[2] = c.pz;
    },
    PART.heel,
  );
}
