import type { Neck, Side } from './neck.ts';
import { PART } from './part.ts';
import { flipped, gridMesh, joinMeshes, type SurfaceMesh } from './surface-mesh.ts';

const steps = (length: number, spacing: number) => Math.max(2, Math.ceil(length / spacing) + 1);
const lerp = (a: number, b: number, t: number) => a + (b - a) * t;

/** The pegbox: an open box that narrows and bends back from the nut. */
export function pegboxMesh(neck: Neck, spacing: number): SurfaceMesh {
  const g = headShape(neck);
  const rows = steps(g.length, spacing);
  const path = (t: number) => {
    const half = lerp(g.halfNut, g.halfScroll, t);
    const depth = lerp(g.depthNut, g.depthScroll, t ** 0.8);
    const cheek = lerp(0.42, 0.5, t) * half;
    const cavity = Math.min(1, Math.min(t, 1 - t) / 0.06) * 0.68 * depth;
    const r = 0.25 * half;
    return [
      [0, -depth],
      [-half + r, -depth],
      [-half + 0.3 * r, -depth + 0.3 * r],
      [-half, -depth + r],
      [-half, -0.3 * r],
      [-half + 0.3 * r, 0],
      [-half + cheek, 0],
      [-half + cheek, -cavity],
      [0, -cavity],
      [half - cheek, -cavity],
      [half - cheek, 0],
      [half - 0.3 * r, 0],
      [half, -0.3 * r],
      [half, -depth + r],
      [half - 0.3 * r, -depth + 0.3 * r],
      [half - r, -depth],
      [0, -depth],
    ] as const;
  };
  const reference = path(0.3);
  const fine: [number, number][] = [];
  for (let k = 0; k + 1 < reference.length; k++) {
    const m = Math.max(1, Math.ceil(Math.hypot(reference[k + 1][0] - reference[k][0], reference[k + 1][1] - reference[k][1]) / spacing));
    for (let q = 0; q < m; q++) fine.push([k, q / m]);
  }
  fine.push([reference.length - 2, 1]);
  return flipped(
    gridMesh(
      rows,
      fine.length,
      (i, j, out) => {
        const t = i / (rows - 1);
        const p = path(t);
        const [k, f] = fine[j];
        const y = lerp(p[k][0], p[k + 1][0], f);
        const v = lerp(p[k][1], p[k + 1][1], f);
        out[0] = g.x0 - g.length * t;
        out[1] = y;
        out[2] = g.z0 - g.drop * t * t + v;
      },
      PART.pegbox,
    ),
  );
}

/** Measures of pegbox and scroll, neck coordinates. */
export function headShape(neck: Neck) {
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
export function scrollMesh(neck: Neck, spacing: number): SurfaceMesh {
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
  const half0 = (side: Side) =>
    gridMesh(
      rows,
      band + face,
      (i, j, out) => {
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
          if (phi < 1.6 * Math.PI) rr = r - 0.1 * w * Math.max(0, 1 - (y / (w - 1.2 * bevel)) ** 2) * Math.min(1, phi / 0.8);
        } else {
          const t = (j - band) / (face - 1);
          y = w;
          rr = lerp(r - bevel, endR - 0.5 * g.unit, t);
        }
        out[0] = cx - rr * Math.sin(phi);
        out[1] = side * y;
        out[2] = cz - rr * Math.cos(phi);
      },
      PART.scroll,
    );
  return joinMeshes([half0(1), flipped(half0(-1))]);
}
