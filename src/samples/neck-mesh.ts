import type { Body } from './body.ts';
import type { Neck, Side } from './neck.ts';
import { sectionPoint, sweepNeck } from './neck-sweep.ts';
import { PART } from './part.ts';
import { flipped, gridMesh, joinMeshes, type Label, type SurfaceMesh } from './surface-mesh.ts';

/** Points over the rounding of an arris. */
const ARRIS_STEPS = 5;

/** Neck, heel, board, nut and head in neck coordinates. */
export function meshNeck(neck: Neck, body: Body, spacing: number): SurfaceMesh {
  return joinMeshes([boardMesh(neck, spacing), boardUndersideMesh(neck, spacing), boardEndMesh(neck, spacing), nutMesh(neck, spacing), neckMesh(neck, body, spacing), pegboxMesh(neck, spacing), scrollMesh(neck, spacing)]);
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
  return gridMesh(rows, columns, (i, j, out) => {
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
    out[0] = x - (x - neck.boardStart > 0.9 * b.length ? (b.endLean * (1 - z / Math.max(zu, 1)) * (x - neck.boardStart - 0.9 * b.length)) / (0.1 * b.length) : 0) * (z < zu ? 1 : 0);
    out[1] = y;
    out[2] = z;
  }, label);
}

function boardUndersideMesh(neck: Neck, spacing: number): SurfaceMesh {
  const b = neck.spec.board;
  const rows = steps(b.length, spacing);
  const columns = steps(b.widthEnd, spacing);
  return flipped(gridMesh(rows, columns, (i, j, out) => {
    const x = lerp(neck.boardStart, neck.boardEnd, i / (rows - 1));
    const y = lerp(neck.lowerY(x, -1), neck.lowerY(x, 1), j / (columns - 1));
    out[0] = x - (x - neck.boardStart > 0.9 * b.length ? (b.endLean * (x - neck.boardStart - 0.9 * b.length)) / (0.1 * b.length) : 0);
    out[1] = y;
    out[2] = neck.undersideZ(x, y);
  }, PART.boardUnderside));
}

function boardEndMesh(neck: Neck, spacing: number): SurfaceMesh {
  const b = neck.spec.board;
  const x = neck.boardEnd;
  const columns = steps(b.widthEnd, spacing);
  const rows = steps(b.edgeEnd + 4, spacing);
  return gridMesh(rows, columns, (i, j, out) => {
    const t = i / (rows - 1);
    const v = j / (columns - 1);
    const yl = lerp(neck.lowerY(x, -1), neck.lowerY(x, 1), v);
    const yu = lerp(neck.upperY(x, -1), neck.upperY(x, 1), v);
    out[0] = x - b.endLean * t;
    out[1] = lerp(yu, yl, t);
    out[2] = lerp(neck.surfaceZ(x, yu), neck.undersideZ(x, yl), t);
  }, PART.boardEnd);
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
  return flipped(gridMesh(path.length, columns, (i, j, out) => {
    const inner = Math.min(across - 1, Math.max(0, j - flank + 1));
    const y = lerp(-half, half, inner / (across - 1));
    const out0 = j < flank - 1 ? j / (flank - 1) : j > across + flank - 2 ? (columns - 1 - j) / (flank - 1) : 1;
    out[0] = neck.boardStart + path[i][0];
    out[1] = y;
    out[2] = topZ(y) * path[i][1] * out0;
  }, PART.nut));
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

/** The pegbox: an open box that narrows and bends back from the nut. */
function pegboxMesh(neck: Neck, spacing: number): SurfaceMesh {
  const g = headShape(neck);
  const rows = steps(g.length, spacing);
  const path = (t: number) => {
    const half = lerp(g.halfNut, g.halfScroll, t);
    const depth = lerp(g.depthNut, g.depthScroll, t ** 0.8);
    const cheek = lerp(0.42, 0.5, t) * half;
    const cavity = Math.min(1, Math.min(t, 1 - t) / 0.06) * 0.68 * depth;
    const r = 0.25 * half;
    return [[0, -depth], [-half + r, -depth], [-half + 0.3 * r, -depth + 0.3 * r], [-half, -depth + r], [-half, -0.3 * r], [-half + 0.3 * r, 0], [-half + cheek, 0], [-half + cheek, -cavity], [0, -cavity], [half - cheek, -cavity], [half - cheek, 0], [half - 0.3 * r, 0], [half, -0.3 * r], [half, -depth + r], [half - 0.3 * r, -depth + 0.3 * r], [half - r, -depth], [0, -depth]] as const;
  };
  const reference = path(0.3);
  const fine: [number, number][] = [];
  for (let k = 0; k + 1 < reference.length; k++) {
    const m = Math.max(1, Math.ceil(Math.hypot(reference[k + 1][0] - reference[k][0], reference[k + 1][1] - reference[k][1]) / spacing));
    for (let q = 0; q < m; q++) fine.push([k, q / m]);
  }
  fine.push([reference.length - 2, 1]);
  return flipped(gridMesh(rows, fine.length, (i, j, out) => {
    const t = i / (rows - 1);
    const p = path(t);
    const [k, f] = fine[j];
    const y = lerp(p[k][0], p[k + 1][0], f);
    const v = lerp(p[k][1], p[k + 1][1], f);
    out[0] = g.x0 - g.length * t;
    out[1] = y;
    out[2] = g.z0 - g.drop * t * t + v;
  }, PART.pegbox));
}

function headShape(neck: Neck) {
  const s = neck.spec;
  const half = s.board.widthNut / 2 + 0.4;
  const unit = s.headLength / 105;
  const back = neck.contour[0][1];
  return {
    x0: neck.boardStart - s.nutLength + 0.2,
    z0: 0.4 * s.board.edgeNut,
    length: 66 * unit,
    drop: 9 * unit,
    halfNut: half,
    halfScroll: 7.5 * unit,
    depthNut: 0.4 * s.board.edgeNut - back + 2.5 * unit,
    depthScroll: 14 * unit,
    unit,
  };
}

/** The scroll: a spiral band, each turn standing out beyond the one outside it. */
function scrollMesh(neck: Neck, spacing: number): SurfaceMesh {
  const g = headShape(neck);
  const outer = 21 * g.unit;
  const turns = 2.4;
  const decay = Math.log(outer / (4 * g.unit)) / (2 * Math.PI * turns);
  const radius = (phi: number) => outer * Math.exp(-decay * phi);
  const half = (phi: number) => lerp(g.halfScroll, 20.5 * g.unit, Math.min(1, Math.max(0, phi) / (2 * Math.PI * (turns - 0.4))) ** 1.6);
  const cx = g.x0 - g.length;
  const cz = g.z0 - g.drop - g.depthScroll + outer;
  const total = 2 * Math.PI * turns;
  const rows = steps((outer * (1 - Math.exp(-decay * total))) / decay / 1, 0.8 * spacing);
  const band = steps(11 * g.unit, spacing);
  const face = steps(10 * g.unit, spacing);
  const half0 = (side: Side) => gridMesh(rows, band + face, (i, j, out) => {
    const phi = (total * i) / (rows - 1);
    const r = radius(phi);
    const w = half(phi);
    const from = phi < 2 * Math.PI ? 0 : half(phi - 2 * Math.PI) - 0.3 * g.unit;
    const inward = Math.min(radius(phi + 2 * Math.PI), r);
    // The last turn closes in the eye.
    const endR = phi + 2 * Math.PI > total ? 0 : inward;
    const bevel = 0.8 * g.unit;
    let rr = r;
    let y = from;
    if (j < band) {
      const t = j / (band - 1);
      y = lerp(from, w - bevel, t);
      // The fluted back of a scroll: hollow between its edges in the first turn.
      if (phi < 1.6 * Math.PI) rr = r - 0.10 * w * Math.max(0, 1 - (y / (w - 1.2 * bevel)) ** 2) * Math.min(1, phi / 0.8);
    } else {
      const t = (j - band) / (face - 1);
      y = w;
      rr = lerp(r - bevel, endR - 0.5 * g.unit, t);
    }
    out[0] = cx - rr * Math.sin(phi);
    out[1] = side * y;
    out[2] = cz - rr * Math.cos(phi);
  }, PART.scroll);
  return joinMeshes([half0(1), flipped(half0(-1))]);
}
