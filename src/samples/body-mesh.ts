import Delaunator from 'delaunator';
import type { Body } from './body.ts';
import { buttonFaceZ } from './button-face.ts';
import { NearestOnRing, insideRing } from './nearest-on-ring.ts';
import { evenRing } from './outline.ts';
import { PART } from './part.ts';
import { flipped, gridMesh, joinMeshes, movedMesh, type Label, type SurfaceMesh } from './surface-mesh.ts';

type Point = readonly [number, number];

/** A folded offset lies nearer the outline than it should by more than this, mm. */
const FOLD = 0.02;
/** Finest step across a feature, as a share of the spacing. */
const FINE = 0.4;

/** Points of a plan with what is known of each. */
interface Plan {
  readonly x: number[];
  readonly y: number[];
  /** Distance to the outline. */
  readonly d: number[];
  /** 1 on the outer boundary, 2 on a hole's contour, 3 on the inner boundary, else 0. */
  readonly border: number[];
}

/** The body's surfaces as triangles with points about `spacing` apart, as distorted. */
export function meshBody(body: Body, spacing: number): SurfaceMesh {
  const top = topPlan(body, spacing);
  const inner = (d: number): Label => (d <= body.spec.channelInset ? PART.edge : PART.top);
  const pieces = [
    planMesh(top, body.topZ, inner, holesOf(body)),
    flipped(planMesh(backPlan(body, spacing), body.backZ, () => PART.back, [])),
    flipped(planMesh(overhangPlan(body, spacing), body.topUnderZ, () => PART.topUnderside, [])),
    planMesh(overhangPlan(body, spacing), body.backUpperZ, () => PART.back, []),
    ribMesh(body, spacing),
    ...body.fHoles.map((hole) => wallMesh(body, hole.ring, spacing)),
    buttonMesh(body, spacing),
    saddleMesh(body, spacing),
  ];
  return movedMesh(joinMeshes(pieces), body.deform);
}

const holesOf = (body: Body) => body.fHoles.map((h) => h.ring);

/** Distances from the outline at which rows of points run: dense where the edge is round. */
function edgeRows(insets: readonly [number, number], spacing: number): number[] {
  const [round, last] = insets;
  const quarter = Math.max(4, Math.ceil((1.6 * round) / (FINE * spacing)));
  const rows: number[] = [];
  for (let k = 0; k <= quarter; k++) rows.push(round * (1 - Math.cos((0.5 * Math.PI * k) / quarter)));
  const rest = Math.max(2, Math.ceil((last - round) / (0.8 * spacing)));
  for (let k = 1; k <= rest; k++) rows.push(round + ((last - round) * k) / rest);
  return rows;
}

function addRings(plan: Plan, body: Body, rows: readonly number[], spacing: number): void {
  const { outline } = body;
  const stride = Math.max(1, Math.round(spacing / (outline.total / outline.count)));
  for (let r = 0; r < rows.length; r++) {
    const d = rows[r];
    for (let i = 0; i < outline.count; i += stride) {
      const x = outline.x[i] + d * outline.nx[i];
      const y = outline.y[i] + d * outline.ny[i];
      if (r > 0 && body.edgeDistance(x, y) < d - Math.min(FOLD, 0.2 * d)) continue;
      plan.x.push(x);
      plan.y.push(y);
      plan.d.push(d);
      plan.border.push(r === 0 ? 1 : r === rows.length - 1 ? 3 : 0);
    }
  }
}

/** Fills the inside with a lattice of equilateral triangles. */
function addLattice(plan: Plan, body: Body, spacing: number, holes: readonly (readonly Point[])[]): void {
  const { length, widthLower } = body.spec.outline;
  const near = new NearestOnRing(holes, 4 * spacing);
  const boxes = holes.map((ring) => [
    Math.min(...ring.map((p) => p[0])),
    Math.max(...ring.map((p) => p[0])),
    Math.min(...ring.map((p) => p[1])),
    Math.max(...ring.map((p) => p[1])),
  ]);
  const from = body.spec.channelInset + 0.6 * spacing;
  const rowStep = spacing * Math.sqrt(0.75);
  const inside = outlineTest(body);
  for (let i = 1; i * rowStep < length; i++) {
    const x = i * rowStep;
    for (let y = -widthLower / 2 + (i % 2) * 0.5 * spacing; y < widthLower / 2; y += spacing) {
      if (!inside(x, y) || body.edgeDistance(x, y) < from) continue;
      let hidden = false;
      for (let h = 0; h < holes.length; h++) {
        const b = boxes[h];
        if (x < b[0] - spacing || x > b[1] + spacing || y < b[2] - spacing || y > b[3] + spacing) continue;
        if (near.distance(x, y) < 0.5 * spacing || insideRing(holes[h], x, y)) hidden = true;
      }
      if (hidden) continue;
      plan.x.push(x);
      plan.y.push(y);
      plan.d.push(body.edgeDistance(x, y));
      plan.border.push(0);
    }
  }
}

/** Whether a point is inside the outline, by a table of the outline's half widths over x (it is single-valued). */
function outlineTest(body: Body): (x: number, y: number) => boolean {
  const { outline } = body;
  const L = body.spec.outline.length;
  const cells = 2000;
  const low = new Float64Array(cells + 1).fill(0);
  const high = new Float64Array(cells + 1).fill(0);
  for (let i = 0; i < outline.count; i++) {
    const k = Math.min(cells, Math.max(0, Math.round((outline.x[i] / L) * cells)));
    low[k] = Math.min(low[k], outline.y[i]);
    high[k] = Math.max(high[k], outline.y[i]);
  }
  return (x, y) => {
    const k = Math.min(cells, Math.max(0, Math.round((x / L) * cells)));
    let a = low[k];
    let b = high[k];
    for (let m = 1; a === 0 && m < 20; m++) a = Math.min(low[Math.max(0, k - m)], low[Math.min(cells, k + m)]);
    for (let m = 1; b === 0 && m < 20; m++) b = Math.max(high[Math.max(0, k - m)], high[Math.min(cells, k + m)]);
    return y > a && y < b;
  };
}

function topPlan(body: Body, spacing: number): Plan {
  const plan: Plan = { x: [], y: [], d: [], border: [] };
  addRings(plan, body, edgeRows([body.spec.crestInset, body.spec.channelInset], spacing), spacing);
  for (let i = 0; i < plan.border.length; i++) if (plan.border[i] === 3) plan.border[i] = 0;
  const holes = holesOf(body);
  for (const ring of holes) {
    const even = evenRing(ring, spacing).length < ring.length / 1.5 ? evenRing(ring, spacing) : ring;
    for (const [x, y] of even) {
      plan.x.push(x);
      plan.y.push(y);
      plan.d.push(body.edgeDistance(x, y));
      plan.border.push(2);
    }
  }
  addLattice(plan, body, spacing, holes);
  return plan;
}

function backPlan(body: Body, spacing: number): Plan {
  const plan: Plan = { x: [], y: [], d: [], border: [] };
  addRings(plan, body, edgeRows([body.spec.crestInset, body.spec.channelInset], spacing), spacing);
  for (let i = 0; i < plan.border.length; i++) if (plan.border[i] === 3) plan.border[i] = 0;
  addLattice(plan, body, spacing, []);
  return plan;
}

function overhangPlan(body: Body, spacing: number): Plan {
  const plan: Plan = { x: [], y: [], d: [], border: [] };
  addRings(plan, body, edgeRows([0.8 * body.spec.crestInset, body.spec.overhang + 0.4], spacing), spacing);
  return plan;
}

function planMesh(
  plan: Plan,
  height: (x: number, y: number, d: number) => number,
  label: (d: number) => Label,
  holes: readonly (readonly Point[])[],
): SurfaceMesh {
  const n = plan.x.length;
  const flat = new Float64Array(2 * n);
  for (let i = 0; i < n; i++) {
    flat[2 * i] = plan.x[i];
    flat[2 * i + 1] = plan.y[i];
  }
  const all = new Delaunator(flat).triangles;
  const outer: Point[] = [];
  for (let i = 0; i < n; i++) if (plan.border[i] === 1) outer.push([plan.x[i], plan.y[i]]);
  const keep: number[] = [];
  for (let t = 0; t < all.length; t += 3) {
    const [a, b, c] = [all[t], all[t + 1], all[t + 2]];
    const border = plan.border[a];
    if (border !== 0 && border === plan.border[b] && border === plan.border[c]) {
      const cx = (plan.x[a] + plan.x[b] + plan.x[c]) / 3;
      const cy = (plan.y[a] + plan.y[b] + plan.y[c]) / 3;
      if (border === 3) continue;
      if (border === 1 && !insideRing(outer, cx, cy)) continue;
      if (border === 2 && holes.some((ring) => insideRing(ring, cx, cy))) continue;
    }
    // Delaunator's triangles run anticlockwise for y down, clockwise seen from the front.
    keep.push(a, c, b);
  }
  const positions = new Float64Array(3 * n);
  const labels = new Uint8Array(n);
  for (let i = 0; i < n; i++) {
    positions[3 * i] = plan.x[i];
    positions[3 * i + 1] = plan.y[i];
    positions[3 * i + 2] = height(plan.x[i], plan.y[i], plan.d[i]);
    labels[i] = label(plan.d[i]);
  }
  return { positions, triangles: Uint32Array.from(keep), labels };
}

/** The ribs: the outline moved inwards by the overhang. */
export function ribRing(body: Body, step: number): Point[] {
  const { outline } = body;
  const d = body.spec.overhang;
  const ring: Point[] = [];
  for (let i = 0; i < outline.count; i++) {
    const x = outline.x[i] + d * outline.nx[i];
    const y = outline.y[i] + d * outline.ny[i];
    if (body.edgeDistance(x, y) >= d - FOLD) ring.push([x, y]);
  }
  return evenRing(ring, step);
}

function ribMesh(body: Body, spacing: number): SurfaceMesh {
  const ring = ribRing(body, spacing);
  const rows = Math.max(3, Math.ceil(body.spec.ribLower / spacing) + 1);
  return gridMesh(
    rows,
    ring.length + 1,
    (i, j, out) => {
      const [x, y] = ring[j % ring.length];
      const top = body.topUnderZ(x, y, body.spec.overhang);
      const bottom = body.backUpperZ(x, y, body.spec.overhang);
      out[0] = x;
      out[1] = y;
      out[2] = top + ((bottom - top) * i) / (rows - 1);
    },
    PART.ribs,
  );
}

/** The wall of a sound hole. */
function wallMesh(body: Body, ring: readonly Point[], spacing: number): SurfaceMesh {
  const wall = body.spec.fHoles.wall;
  const rows = Math.max(2, Math.ceil(wall / spacing) + 1);
  return gridMesh(
    rows,
    ring.length + 1,
    (i, j, out) => {
      const [x, y] = ring[j % ring.length];
      out[0] = x;
      out[1] = y;
      out[2] = body.topZ(x, y, body.edgeDistance(x, y)) - (wall * i) / (rows - 1);
    },
    PART.fWall,
  );
}

/** The button: a half ellipse at the back's upper end, its rim rounded. */
function buttonMesh(body: Body, spacing: number): SurfaceMesh {
  const { buttonWidth, buttonLength, edgeThickness } = body.spec;
  const inside = 4 * body.spec.crestInset;
  const face = buttonFaceZ(body);
  const half = buttonWidth / 2;
  const straight = Math.max(0, buttonLength - half);
  const path: Point[] = [];
  // Plan: two straight sides from inside the edge, then the round end.
  const bend = Math.min(half, buttonLength);
  const along = Math.ceil((inside + straight) / spacing) + 1;
  for (let k = 0; k <= along; k++) path.push([inside - ((inside + straight) * k) / along, -half]);
  const round = Math.ceil((Math.PI * half) / spacing);
  for (let k = 1; k <= round; k++) {
    const a = (Math.PI * k) / round;
    path.push([-straight - bend * Math.sin(a), -half * Math.cos(a)]);
  }
  for (let k = along - 1; k >= 0; k--) path.push([inside - ((inside + straight) * k) / along, half]);
  // Section: from the face's middle line over the rounded rim up the side.
  const r = 0.35 * edgeThickness;
  const rings: { f: number; inset: number; z: number }[] = [];
  const faces = Math.max(3, Math.ceil(half / spacing));
  for (let k = 0; k < faces; k++) rings.push({ f: k / faces, inset: r, z: face });
  const arc = Math.max(3, Math.ceil((1.6 * r) / (FINE * spacing)));
  for (let k = 0; k <= arc; k++) {
    const a = (0.5 * Math.PI * k) / arc;
    rings.push({ f: 1, inset: r * (1 - Math.sin(a)), z: face + r * (1 - Math.cos(a)) });
  }
  const up = Math.max(2, Math.ceil((edgeThickness - r) / spacing));
  for (let k = 1; k <= up; k++) rings.push({ f: 1, inset: 0, z: face + r + ((edgeThickness - r) * k) / up });
  return gridMesh(
    rings.length,
    path.length,
    (i, j, out) => {
      const { f, inset, z } = rings[i];
      const [px, py] = path[j];
      const shrink = (half - inset) / half;
      out[0] = px < -straight ? -straight + (px + straight) * shrink : px;
      out[1] = py * f * shrink;
      if (px < -straight) out[0] = -straight + (out[0] + straight) * f;
      out[2] = z;
    },
    PART.button,
  );
}

/** Highest line of the saddle of a body of length L, on the centreline. */
export const saddleTop = (L: number): [number, number, number] => [L - (0.6 * L) / 355, 0, (3 * L) / 355];

/** The saddle: a small block let into the top's edge at the tail. */
function saddleMesh(body: Body, spacing: number): SurfaceMesh {
  const L = body.spec.outline.length;
  const half = body.spec.saddleWidth / 2;
  const unit = L / 355;
  const section: Point[] = [
    [L + 0.3 * unit, -2 * unit],
    [L + 0.3 * unit, 2.2 * unit],
    [saddleTop(L)[0], saddleTop(L)[2]],
    [L - 2.4 * unit, 2.6 * unit],
    [L - 5 * unit, -0.4 * unit],
    [L - 5.4 * unit, -2 * unit],
  ];
  const fine: Point[] = [];
  for (let k = 0; k + 1 < section.length; k++) {
    const steps = Math.max(1, Math.ceil(Math.hypot(section[k + 1][0] - section[k][0], section[k + 1][1] - section[k][1]) / spacing));
    for (let m = 0; m < steps; m++)
      fine.push([
        section[k][0] + ((section[k + 1][0] - section[k][0]) * m) / steps,
        section[k][1] + ((section[k + 1][1] - section[k][1]) * m) / steps,
      ]);
  }
  fine.push(section[section.length - 1]);
  const rows = Math.ceil((2 * half) / spacing) + 1;
  return gridMesh(
    rows,
    fine.length,
    (i, j, out) => {
      const y = -half + (2 * half * i) / (rows - 1);
      const ends = Math.sqrt(Math.max(0, 1 - (y / half) ** 8));
      out[0] = L + (fine[j][0] - L);
      out[1] = y;
      out[2] = -2 * unit + (fine[j][1] + 2 * unit) * ends;
    },
    PART.saddle,
  );
}
