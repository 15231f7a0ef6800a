/**
 * A closed line of circular arcs, as a violin's outline is drawn with compasses. Plan coordinates, mm.
 * It is walked from the neck over the treble side to the tail and back: the inside lies to the right.
 */
export interface ChainNode {
  readonly x: number;
  readonly y: number;
  /** direction in which the line arrives and leaves, radians from +x; they differ at a corner */
  readonly arrive: number;
  readonly leave: number;
}

export class ArcChain {
  /** per arc: x0, y0, tx, ty, curvature (left turns positive), length, start (arc length), midX, midY */
  readonly arcs: Float64Array;
  readonly count: number;
  readonly length: number;
  /** arc length at each node */
  readonly nodeAt: readonly number[];

  constructor(nodes: readonly ChainNode[]) {
    const rows: number[] = [];
    const nodeAt: number[] = [];
    let at = 0;
    const push = (x: number, y: number, tx: number, ty: number, qx: number, qy: number): void => {
      const dx = qx - x;
      const dy = qy - y;
      const d2 = dx * dx + dy * dy;
      let k = (2 * (-ty * dx + tx * dy)) / d2;
      if (Math.abs(k) < 1e-9) k = 0;
      let length = Math.sqrt(d2);
      if (k !== 0) {
        const half = Math.asin(Math.max(-1, Math.min(1, (Math.sqrt(d2) * Math.abs(k)) / 2)));
        const forward = dx * tx + dy * ty >= 0;
        length = (2 * (forward ? half : Math.PI - half)) / Math.abs(k);
      }
      const mid = arcPoint(x, y, tx, ty, k, length / 2);
      rows.push(x, y, tx, ty, k, length, at, mid[0], mid[1]);
      at += length;
    };
    nodes.forEach((a, i) => {
      nodeAt.push(at);
      const b = nodes[(i + 1) % nodes.length] as ChainNode;
      const t0 = [Math.cos(a.leave), Math.sin(a.leave)] as const;
      const t1 = [Math.cos(b.arrive), Math.sin(b.arrive)] as const;
      const vx = b.x - a.x;
      const vy = b.y - a.y;
      const tx = t0[0] + t1[0];
      const ty = t0[1] + t1[1];
      const vt = vx * tx + vy * ty;
      const vv = vx * vx + vy * vy;
      const den = 2 * (1 - (t0[0] * t1[0] + t0[1] * t1[1]));
      const d = den < 1e-9 ? vv / (2 * vt) : (-vt + Math.sqrt(vt * vt + den * vv)) / den;
      const mx = (a.x + b.x + d * (t0[0] - t1[0])) / 2;
      const my = (a.y + b.y + d * (t0[1] - t1[1])) / 2;
      push(a.x, a.y, t0[0], t0[1], mx, my);
      // the second arc leaves with the tangent that mirrors the arrival over its chord
      const cx = b.x - mx;
      const cy = b.y - my;
      const cc = cx * cx + cy * cy;
      const p = (2 * (t1[0] * cx + t1[1] * cy)) / cc;
      push(mx, my, p * cx - t1[0], p * cy - t1[1], b.x, b.y);
    });
    this.arcs = Float64Array.from(rows);
    this.count = rows.length / 9;
    this.length = at;
    this.nodeAt = nodeAt;
  }

  /** x, y, inward normal at arc length s */
  at(s: number, out: Float64Array): void {
    const a = this.arcs;
    let t = s % this.length;
    if (t < 0) t += this.length;
    let low = 0;
    let high = this.count - 1;
    while (low < high) {
      const mid = (low + high + 1) >> 1;
      if (a[mid * 9 + 6] <= t) low = mid;
      else high = mid - 1;
    }
    const o = low * 9;
    const l = t - a[o + 6];
    const k = a[o + 4];
    const p = arcPoint(a[o], a[o + 1], a[o + 2], a[o + 3], k, l);
    const c = Math.cos(k * l);
    const n = Math.sin(k * l);
    const tx = a[o + 2] * c - a[o + 3] * n;
    const ty = a[o + 2] * n + a[o + 3] * c;
    out[0] = p[0];
    out[1] = p[1];
    out[2] = ty;
    out[3] = -tx;
  }

  private readonly near = new Map<number, Int32Array>();

  /** arcs that can be nearest to a point of a plan cell */
  private candidates(x: number, y: number): Int32Array {
    const size = this.length / 120;
    const i = Math.floor(x / size);
    const j = Math.floor(y / size);
    const key = (i + 1000) * 10000 + j + 1000;
    const known = this.near.get(key);
    if (known) return known;
    const all = Array.from({ length: this.count }, (_, n) => n);
    const centre = [(i + 0.5) * size, (j + 0.5) * size] as const;
    const each = all.map((n) => Math.abs(this.nearest(centre[0], centre[1], [n])));
    const limit = Math.min(...each) + 1.5 * size;
    const found = Int32Array.from(all.filter((n) => each[n] <= limit));
    this.near.set(key, found);
    return found;
  }

  /** distance to the line, positive inside */
  distance(x: number, y: number): number {
    return this.nearest(x, y, this.candidates(x, y));
  }

  private nearest(x: number, y: number, among: ArrayLike<number>): number {
    const a = this.arcs;
    let best = Number.POSITIVE_INFINITY;
    let sign = 1;
    for (let m = 0; m < among.length; m++) {
      const i = among[m];
      const o = i * 9;
      const mx = x - a[o + 7];
      const my = y - a[o + 8];
      const reach = Math.sqrt(mx * mx + my * my) - a[o + 5] / 2;
      if (reach > best + 1e-9) continue;
      const k = a[o + 4];
      const length = a[o + 5];
      const px = x - a[o];
      const py = y - a[o + 1];
      const along = px * a[o + 2] + py * a[o + 3];
      const left = -px * a[o + 3] + py * a[o + 2];
      let l: number;
      let dist: number;
      let inside: boolean;
      if (k === 0) {
        l = along;
        dist = Math.abs(left);
        inside = left <= 0;
      } else {
        const r = 1 / k;
        // angle swept from the start, in the sense of travel
        const sense = k > 0 ? 1 : -1;
        let angle = Math.atan2(along, -sense * (left - r));
        if (angle < 0) angle += 2 * Math.PI;
        l = angle * Math.abs(r);
        if (l > length && l - length > (2 * Math.PI * Math.abs(r) - length) / 2) l = -1;
        const rho = Math.hypot(along, left - r);
        dist = Math.abs(rho - Math.abs(r));
        inside = k < 0 ? rho <= Math.abs(r) : rho >= Math.abs(r);
      }
      if (l < 0 || l > length) {
        const e = l < 0 ? 0 : length;
        const q = arcPoint(a[o], a[o + 1], a[o + 2], a[o + 3], k, e);
        const c = Math.cos(k * e);
        const n = Math.sin(k * e);
        const tx = a[o + 2] * c - a[o + 3] * n;
        const ty = a[o + 2] * n + a[o + 3] * c;
        dist = Math.hypot(x - q[0], y - q[1]);
        inside = -(x - q[0]) * ty + (y - q[1]) * tx <= 1e-9;
      }
      if (dist < best - 1e-9) {
        best = dist;
        sign = inside ? 1 : -1;
      } else if (dist <= best + 1e-9 && !inside) sign = -1;
    }
    return sign * best;
  }
}

function arcPoint(x: number, y: number, tx: number, ty: number, k: number, l: number): readonly [number, number] {
  if (k === 0) return [x + tx * l, y + ty * l];
  const s = Math.sin(k * l) / k;
  const c = (1 - Math.cos(k * l)) / k;
  return [x + tx * s - ty * c, y + ty * s + tx * c];
}
