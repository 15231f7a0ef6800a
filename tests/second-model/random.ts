/** A small generator (mulberry32): the same number gives the same stream. */
export class Random {
  private state: number;
  private spare = Number.NaN;

  constructor(seed: number) {
    this.state = (seed * 2654435761 + 0x9e3779b9) >>> 0;
    for (let i = 0; i < 4; i++) this.next();
  }

  /** even on [0, 1) */
  next(): number {
    this.state = (this.state + 0x6d2b79f5) >>> 0;
    let t = this.state;
    t = Math.imul(t ^ (t >>> 15), t | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  }

  between(low: number, high: number): number {
    return low + (high - low) * this.next();
  }

  normal(): number {
    if (!Number.isNaN(this.spare)) {
      const kept = this.spare;
      this.spare = Number.NaN;
      return kept;
    }
    const r = Math.sqrt(-2 * Math.log(1 - this.next()));
    const a = 2 * Math.PI * this.next();
    this.spare = r * Math.sin(a);
    return r * Math.cos(a);
  }

  chance(p: number): boolean {
    return this.next() < p;
  }

  pick<T>(choices: readonly T[]): T {
    return choices[Math.floor(this.next() * choices.length)] as T;
  }

  /** an own stream for a part, so that a change in one part leaves the others as they were */
  fork(): Random {
    return new Random(this.number());
  }

  /** a number to make such a stream from, as often as it is wanted */
  number(): number {
    return Math.floor(this.next() * 4294967296);
  }
}
