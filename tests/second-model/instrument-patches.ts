import type { Body } from './body.ts';
import type { Neck } from './neck.ts';
import { type Label, type Patch, stepsFor } from './patch.ts';

const rest = new Float64Array(3);

/** inside the solid body (plates, ribs, air)? */
export function bodyHolds(body: Body, px: number, py: number, pz: number): boolean {
  body.unmoved(px, py, pz, rest);
  const [x, y, z] = rest;
  const d = body.distance(x, y);
  if (d <= 0) return false;
  if (z > body.top(x, y, d) || z < body.back(x, y, d)) return false;
  const under = body.underTop(x, y);
  const over = body.overBack(x, y);
  if (z < under && z > over) return d > body.ribInset(x, y, (z - over) / (under - over));
  if (z >= under) return z > under + body.under(d);
  return z < over - body.under(d);
}

/** inset up to which the edge is walked round the outline; further in the plates are walked as height fields */
const edgeReach = (body: Body): number => 1.1 * body.edge;

/** keeps a grid point clear of an f-hole, or moves it onto the hole's rim when it is within half a step */
function clearOfHole(body: Body, p: Float64Array, spacing: number): boolean {
  const f = body.fHole(p[0], p[1]);
  if (f > spacing * 0.5) return true;
  if (f < -spacing * 0.5) return false;
  const e = 0.02 * body.scale;
  const gx = (body.fHole(p[0] + e, p[1]) - body.fHole(p[0] - e, p[1])) / (2 * e);
  const gy = (body.fHole(p[0], p[1] + e) - body.fHole(p[0], p[1] - e)) / (2 * e);
  const g2 = Math.max(0.25, gx * gx + gy * gy);
  p[0] -= (f * gx) / g2;
  p[1] -= (f * gy) / g2;
  return true;
}

export function bodyPatches(body: Body, neck: Neck, h: number): Patch[] {
  const { dims, outline } = body;
  const reach = edgeReach(body);
  const n = stepsFor(outline.length, h) - 1;
  const q = new Float64Array(4);
  const wide = Math.max(dims.upper, dims.lower) / 2 + 2 * body.scale;
  const rows = stepsFor(dims.body, h);
  const columns = stepsFor(2 * wide, h);
  const x0 = 0;
  const plate = (label: Label, back: boolean): Patch => ({
    label,
    rows,
    columns,
    point: (i, j, p) => {
      p[0] = x0 + i * h;
      p[1] = -wide + j * h;
      let d = body.distance(p[0], p[1]);
      if (d < reach - 1.2 * h) return false;
      if (!back && body.fHole(p[0], p[1]) < h) {
        if (!clearOfHole(body, p, h)) return false;
        d = body.distance(p[0], p[1]);
      }
      p[2] = back ? body.back(p[0], p[1], d) : body.top(p[0], p[1], d);
      body.moved(p[0], p[1], p[2], p);
      return !neck.holds(p[0], p[1], p[2], 0);
    },
  });
  // section of the edge: from inside over the crest and the rim to the underside of the overhang
  const run = reach + body.edge + body.overhang + 1;
  const m = stepsFor(run, Math.min(h, body.edge / 7));
  const edge = (label: Label, back: boolean): Patch => ({
    label,
    rows: n,
    columns: m,
    point: (i, j, p) => {
      outline.at((i / n) * outline.length, q);
      const t = (j / (m - 1)) * run;
      const c = body.crestInset(q[0], back ? -q[1] : q[1]);
      const flat = reach - c;
      const roll = Math.PI / 2;
      let d: number;
      let low = -1;
      if (t < flat) d = reach - t;
      else if (t < flat + body.edge / 2 + c / 2) {
        const a = (roll * (t - flat)) / (body.edge / 2 + c / 2);
        d = c * (1 - Math.sin(a));
      } else {
        const left = t - flat - body.edge / 2 - c / 2;
        const b = left / (run - flat - body.edge / 2 - c / 2);
        d = (body.overhang * 1.25 + 0.4) * b * b;
        low = body.under(d);
      }
      p[0] = q[0] + d * q[2];
      p[1] = q[1] + d * q[3];
      if (body.distance(p[0], p[1]) < d - 0.03) return false;
      if (low >= 0) p[2] = back ? body.overBack(p[0], p[1]) - low : body.underTop(p[0], p[1]) + low;
      else p[2] = back ? body.back(p[0], p[1], d) : body.top(p[0], p[1], d);
      body.moved(p[0], p[1], p[2], p);
      return !neck.holds(p[0], p[1], p[2], 0);
    },
  });
  const ribSteps = stepsFor(dims.rib, h);
  const ribs: Patch = {
    label: 'rib',
    rows: n,
    columns: ribSteps,
    point: (i, j, p) => {
      outline.at((i / n) * outline.length, q);
      const t = j / (ribSteps - 1);
      const inset = body.ribInset(q[0], q[1], t);
      p[0] = q[0] + inset * q[2];
      p[1] = q[1] + inset * q[3];
      if (body.distance(p[0], p[1]) < inset - 0.03) return false;
      const low = body.overBack(p[0], p[1]);
      p[2] = low + (body.underTop(p[0], p[1]) - low) * t;
      body.moved(p[0], p[1], p[2], p);
      return !neck.holds(p[0], p[1], p[2], neck.fillet * 0.5);
    },
  };
  return [plate('top', false), edge('edge', false), ribs, plate('back', true), edge('backEdge', true), ...fWalls(body, h)];
}

/** walls of the f-holes, a ring of points at three or so depths */
function fWalls(body: Body, h: number): Patch[] {
  const thick = 2.8 * body.scale;
  const deep = stepsFor(thick, h);
  return body.fBoxes.map((box): Patch => {
    const rows = stepsFor(box[2] - box[0], h);
    const columns = stepsFor(box[3] - box[1], h) * deep;
    let at = -1;
    let there = false;
    const rim = new Float64Array(3);
    return {
      label: 'fWall',
      rows,
      columns,
      point: (i, j, p) => {
        const place = Math.floor(Math.round(j) / deep);
        // the layers of one place share their rim point
        if (at !== i * columns + place) {
          at = i * columns + place;
          rim[0] = box[0] + i * h;
          rim[1] = box[1] + place * h;
          there = Math.abs(body.fHole(rim[0], rim[1])) <= h * 0.75 && clearOfHole(body, rim, 1.5 * h);
          if (there) rim[2] = body.top(rim[0], rim[1], body.distance(rim[0], rim[1]));
        }
        if (!there) return false;
        p.set(rim);
        p[2] -= ((Math.round(j) % deep) / (deep - 1)) * thick;
        return true;
      },
      still: 'yes',
    };
  });
}

export function neckPatches(body: Body, neck: Neck, h: number): Patch[] {
  const total = neck.along[neck.sections - 1];
  const girth = Math.max(...neck.half) * 2 + 2 * 1.2 * neck.dims.neckThickness;
  const rows = stepsFor(total, h);
  const columns = stepsFor(girth, h);
  // sections even along the contour
  const at = (i: number): number => {
    const s = (i / (rows - 1)) * total;
    let low = 0;
    let high = neck.sections - 1;
    while (high - low > 1) {
      const mid = (low + high) >> 1;
      if (neck.along[mid] <= s) low = mid;
      else high = mid;
    }
    return low + (s - neck.along[low]) / Math.max(1e-9, neck.along[high] - neck.along[low]);
  };
  const q = new Float64Array(3);
  // even in arc length over the section: superellipse angles crowd otherwise
  const phiOf = (j: number): number => {
    const t = (2 * j) / (columns - 1) - 1;
    return (Math.PI / 2) * Math.sign(t) * (0.6 * Math.abs(t) + 0.4 * Math.abs(t) ** 1.4);
  };
  const wood: Patch = {
    label: 'neck',
    rows,
    columns,
    point: (i, j, p) => {
      const t = at(i);
      const phi = phiOf(j);
      neck.loft(t, phi, q);
      if (neck.fillet > 0 && q[2] < neck.dims.overstand) {
        neck.place(q[0], q[1], q[2], p);
        body.unmoved(p[0], p[1], p[2], p);
        if (p[2] < body.underTop(p[0], p[1]) && p[2] > body.overBack(p[0], p[1])) {
          const gap = body.ribInset(p[0], p[1], 0.5) - body.distance(p[0], p[1]);
          if (gap > 0 && gap < neck.fillet)
            q[1] += Math.sign(q[1]) * (neck.fillet - Math.sqrt(neck.fillet ** 2 - (neck.fillet - gap) ** 2));
        }
      }
      neck.place(q[0], q[1], q[2], p);
      return !bodyHolds(body, p[0], p[1], p[2]);
    },
    name: (i) => {
      const t = Math.round(at(i));
      if (neck.cz[t] < neck.buttonZ + body.edge) return 'button';
      return neck.gz[t] < neck.dims.overstand - 1.5 * body.scale && neck.gx[t] > neck.origin ? 'heel' : 'neck';
    },
  };
  const deep = stepsFor(neck.rootX - neck.cx[neck.sections - 1], h);
  const cap: Patch = {
    label: 'button',
    rows: deep,
    columns,
    point: (i, j, p) => {
      neck.loft(neck.sections - 1, (Math.PI / 2) * (-1 + (2 * j) / (columns - 1)), q);
      const r = i / (deep - 1);
      const G = neck.gx[neck.sections - 1];
      // a slightly crowned face
      neck.place(G + (q[0] - G) * r, q[1] * r, neck.buttonZ - 0.02 * neck.dims.buttonLength * (1 - r * r), p);
      return !bodyHolds(body, p[0], p[1], p[2] + 0.02);
    },
  };
  // closes the neck behind the nut: without it a view from the scroll looks into the hollow wood
  const shut: Patch = {
    label: 'scroll',
    rows: stepsFor(neck.dims.neckThickness, h),
    columns,
    point: (i, j, p) => {
      neck.loft(0, (Math.PI / 2) * (-1 + (2 * j) / (columns - 1)), q);
      const r = i / (stepsFor(neck.dims.neckThickness, h) - 1);
      neck.place(neck.gx[0] + (q[0] - neck.gx[0]) * r, q[1] * r, neck.gz[0] + (q[2] - neck.gz[0]) * r, p);
      return true;
    },
  };
  const high = 2.2 * neck.dims.overstand;
  const rootRows = stepsFor(high, h);
  const rootEnd: Patch = {
    label: 'rootEnd',
    rows: rootRows,
    columns,
    point: (i, j, p) => {
      const u = (neck.rootX - neck.origin) / Math.cos(neck.bed);
      const half = (neck.lowerHalf(u, 1) + neck.lowerHalf(u, -1)) / 2;
      neck.place(
        neck.rootX,
        -half + (2 * half * j) / (columns - 1),
        neck.dims.overstand + u * Math.sin(neck.bed) - (i / (rootRows - 1)) * high,
        p,
      );
      return !bodyHolds(body, p[0], p[1], p[2]);
    },
  };
  return [wood, cap, shut, rootEnd, ...boardPatches(neck, h)];
}

/** The board's section as a line: lower arris, side, upper arris, playing surface, and down the other side. */
function boardPatches(neck: Neck, h: number): Patch[] {
  const L = neck.dims.board;
  const rows = stepsFor(L, h);
  const side = stepsFor(neck.surface(0, neck.upperHalf(0, 1)) * 1.15, h);
  const across = stepsFor(neck.dims.boardEnd * 1.06, h);
  const columns = across + 2 * side;
  const uAt = (i: number): number => -neck.length + (i / (rows - 1)) * L;
  const flat = new Float64Array(2);
  const outer: Patch = {
    label: 'board',
    rows,
    columns,
    point: (i, j, p) => {
      const u = uAt(i);
      boardSection(neck, u, j / (columns - 1), side / columns, flat);
      // the end face leans: what lies lower ends elsewhere
      const share = Math.max(0, (u + neck.length) / L - 0.9) * 10;
      const top = neck.surface(neck.end, 0);
      const leaned = u + share * (flat[1] - top) * neck.endLean;
      boardSection(neck, leaned, j / (columns - 1), side / columns, flat);
      neck.boardPoint(leaned, flat[0], flat[1], p);
      return true;
    },
    name: (_i, j) => (j < side || j > columns - 1 - side ? 'boardSide' : 'board'),
  };
  const freeFrom = (neck.rootX - neck.origin) / Math.cos(neck.bed);
  const underRows = stepsFor(neck.end - freeFrom, h);
  const hollowAt = (u: number): number => neck.hollow * Math.min(1, (u - freeFrom) / (6 * h + 6)) ** 0.7;
  const underW = (u: number, v: number): number => {
    const q = v >= 0 ? v / neck.lowerHalf(u, 1) : -v / neck.lowerHalf(u, -1);
    const flatRim = Math.max(0, 1 - (q / 0.93) ** 4);
    return neck.lower(u) + hollowAt(u) * flatRim;
  };
  const under: Patch = {
    label: 'boardSide',
    rows: underRows,
    columns: across,
    point: (i, j, p) => {
      const u = freeFrom + (i / (underRows - 1)) * (neck.end - freeFrom);
      const t = j / (across - 1);
      const v = -neck.lowerHalf(u, -1) + t * (neck.lowerHalf(u, 1) + neck.lowerHalf(u, -1));
      const share = Math.max(0, (u + neck.length) / L - 0.9) * 10;
      neck.boardPoint(u + share * (underW(u, v) - neck.surface(neck.end, 0)) * neck.endLean, v, underW(u, v), p);
      return true;
    },
  };
  const endRows = stepsFor(neck.surface(neck.end, 0), h);
  const endFace: Patch = {
    label: 'boardSide',
    rows: endRows,
    columns: across,
    point: (i, j, p) => {
      const t = j / (across - 1);
      const u = neck.end;
      const up = neck.upperHalf(u, 1) + neck.upperHalf(u, -1);
      const lo = neck.lowerHalf(u, 1) + neck.lowerHalf(u, -1);
      const s = i / (endRows - 1);
      const v0 = -neck.lowerHalf(u, -1) + t * lo;
      const v1 = -neck.upperHalf(u, -1) + t * up;
      const v = v0 + (v1 - v0) * s;
      const w = underW(u, v0) + (neck.surface(u, v1) - underW(u, v0)) * s;
      neck.boardPoint(u + (w - neck.surface(neck.end, 0)) * neck.endLean, v, w, p);
      return true;
    },
  };
  return [outer, under, endFace];
}

/** v, w of the board's section at u: t from the bass side's lower arris (0) to the treble side's (1); arrises broken */
export function boardSection(neck: Neck, u: number, t: number, sideShare: number, out: Float64Array): void {
  const right = t > 0.5;
  const s = right ? 1 : -1;
  const a = right ? 1 - t : t;
  const U = neck.upperHalf(u, s);
  const e = neck.surface(u, s * U);
  const lo = neck.lowerHalf(u, s);
  const w0 = neck.lower(u);
  const sideLength = Math.hypot(U - lo, e - w0);
  const other = neck.upperHalf(u, right ? -1 : 1);
  const r = neck.arrisRound;
  const topLength = (U + other) / 2;
  // distance from the upper arris, negative on the side face
  const x = a < sideShare ? (a / sideShare - 1) * sideLength : ((a - sideShare) / (0.5 - sideShare)) * topLength;
  const onSide = (d: number): readonly [number, number] => [
    lo + ((U - lo) * (sideLength - d)) / sideLength,
    w0 + ((e - w0) * (sideLength - d)) / sideLength,
  ];
  const onTop = (d: number): readonly [number, number] => [U - d, neck.surface(u, s * (U - d))];
  let v: number;
  let w: number;
  if (x > -r && x < r) {
    const [av, aw] = onSide(r);
    const [bv, bw] = onTop(r);
    const f = (x + r) / (2 * r);
    if (neck.arrisKind === 'chamfered') {
      v = av + (bv - av) * f;
      w = aw + (bw - aw) * f;
    } else {
      const g = 1 - f;
      v = g * g * av + 2 * g * f * U + f * f * bv;
      w = g * g * aw + 2 * g * f * e + f * f * bw;
    }
  } else [v, w] = x <= 0 ? onSide(-x) : onTop(x);
  out[0] = s * v;
  out[1] = w;
}

/** inner faces of plates and ribs, as a CT surface shows them */
export function innerPatches(body: Body, h: number): Patch[] {
  const k = body.scale;
  const { dims, outline } = body;
  const plate = 2.9 * k;
  const rib = 1.15 * k;
  const wide = Math.max(dims.upper, dims.lower) / 2;
  const rows = stepsFor(dims.body, h);
  const columns = stepsFor(2 * wide, h);
  const q = new Float64Array(4);
  const sheet = (back: boolean): Patch => ({
    label: 'inside',
    rows,
    columns,
    point: (i, j, p) => {
      p[0] = i * h;
      p[1] = -wide + j * h;
      const d = body.distance(p[0], p[1]);
      if (d < body.overhang + rib || (!back && body.fHole(p[0], p[1]) < 0)) return false;
      p[2] = back ? body.back(p[0], p[1], d) + plate : body.top(p[0], p[1], d) - plate;
      body.moved(p[0], p[1], p[2], p);
      return true;
    },
  });
  const n = stepsFor(outline.length, h) - 1;
  const steps = stepsFor(dims.rib, h);
  const inner: Patch = {
    label: 'inside',
    rows: n,
    columns: steps,
    point: (i, j, p) => {
      outline.at((i / n) * outline.length, q);
      const t = j / (steps - 1);
      const inset = body.ribInset(q[0], q[1], t) + rib;
      p[0] = q[0] + inset * q[2];
      p[1] = q[1] + inset * q[3];
      if (body.distance(p[0], p[1]) < inset - 0.03) return false;
      const low = body.overBack(p[0], p[1]);
      p[2] = low + (body.underTop(p[0], p[1]) - low) * t;
      body.moved(p[0], p[1], p[2], p);
      return true;
    },
  };
  return [sheet(false), sheet(true), inner];
}
