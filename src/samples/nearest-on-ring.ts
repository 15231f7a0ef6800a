/**
 * Finds how far a point in plan lies from closed polylines, quickly for points nearer than `reach`.
 * Beyond `reach` the answer is `reach`.
 */
export class NearestOnRing {
  private readonly cells = new Map<number, number[]>();
  private readonly x: readonly number[];
  private readonly y: readonly number[];
  private readonly next: readonly number[];
  private readonly reach: number;

  /** @param rings  closed rings of points, mm */
  constructor(rings: readonly (readonly (readonly [number, number])[])[], reach: number) {
    const x: number[] = [];
    const y: number[] = [];
    const next: number[] = [];
    for (const ring of rings) {
      const first = x.length;
      ring.forEach((p, i) => {
        x.push(p[0]);
        y.push(p[1]);
        next.push(i + 1 < ring.length ? x.length : first);
      });
    }
    this.x = x;
    this.y = y;
    this.next = next;
    this.reach = reach;
    for (let i = 0; i < x.length; i++) this.enter(i);
  }

  private key(i: number, j: number): number {
    return (i + 32768) * 65536 + (j + 32768);
  }

  /** Enters segment i into every cell that holds one of its ends (segments are short against cells). */
  private enter(i: number): void {
    const put = (x: number, y: number) => {
      const k = this.key(Math.floor(x / this.reach), Math.floor(y / this.reach));
      const list = this.cells.get(k);
      if (!list) this.cells.set(k, [i]);
      else if (list[list.length - 1] !== i) list.push(i);
    };
    put(this.x[i], this.y[i]);
    put(this.x[this.next[i]], this.y[this.next[i]]);
  }

  distance(px: number, py: number): number {
    const ci = Math.floor(px / this.reach);
    const cj = Math.floor(py / this.reach);
    let best = this.reach * this.reach;
    for (let i = ci - 1; i <= ci + 1; i++) {
      for (let j = cj - 1; j <= cj + 1; j++) {
        const list = this.cells.get(this.key(i, j));
        if (!list) continue;
        for (const a of list) {
          const b = this.next[a];
          const dx = this.x[b] - this.x[a];
          const dy = this.y[b] - this.y[a];
          const ex = px - this.x[a];
          const ey = py - this.y[a];
          const l2 = dx * dx + dy * dy;
          const t = l2 > 0 ? Math.min(1, Math.max(0, (ex * dx + ey * dy) / l2)) : 0;
          const fx = ex - t * dx;
          const fy = ey - t * dy;
          const d2 = fx * fx + fy * fy;
          if (d2 < best) best = d2;
        }
      }
    }
    return Math.sqrt(best);
  }
}

/** Whether a point lies inside closed rings (even-odd). */
export function insideRing(ring: readonly (readonly [number, number])[], px: number, py: number): boolean {
  let inside = false;
  for (let i = 0, j = ring.length - 1; i < ring.length; j = i++) {
    const [xi, yi] = ring[i];
    const [xj, yj] = ring[j];
    if (yi > py !== yj > py && px < ((xj - xi) * (py - yi)) / (yj - yi) + xi) inside = !inside;
  }
  return inside;
}
