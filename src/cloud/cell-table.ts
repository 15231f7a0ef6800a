/** Slots at the start; doubled whenever two thirds are in use. */
const FIRST_CAPACITY = 4096;

/** Numbers the cells of a grid in the order in which they are first met: open addressing over flat arrays, for sparse grids of any extent. */
export class CellTable {
  /** Cells numbered so far. */
  count = 0;
  /** Cell coordinates of number c: x[c], y[c], z[c]. */
  x = new Int32Array(FIRST_CAPACITY);
  y = new Int32Array(FIRST_CAPACITY);
  z = new Int32Array(FIRST_CAPACITY);
  private slots = new Int32Array(2 * FIRST_CAPACITY);

  /** Number of a cell; a new cell gets the next number. */
  add(x: number, y: number, z: number): number {
    const slot = this.slotOf(x, y, z);
    const held = this.slots[slot];
    if (held !== 0) return held - 1;
    const c = this.count++;
    this.x[c] = x;
    this.y[c] = y;
    this.z[c] = z;
    this.slots[slot] = c + 1;
    if (3 * this.count >= 2 * this.x.length) this.grow();
    return c;
  }

  /** Number of a cell, −1 when it was never added. */
  find(x: number, y: number, z: number): number {
    return this.slots[this.slotOf(x, y, z)] - 1;
  }

  private slotOf(x: number, y: number, z: number): number {
    const mask = this.slots.length - 1;
    let h = Math.imul(x, 0x9e3779b1) ^ Math.imul(y, 0x85ebca6b) ^ Math.imul(z, 0xc2b2ae35);
    h ^= h >>> 15;
    for (let s = h & mask; ; s = (s + 1) & mask) {
      const c = this.slots[s] - 1;
      if (c < 0 || (this.x[c] === x && this.y[c] === y && this.z[c] === z)) return s;
    }
  }

  private grow(): void {
    const longer = (a: Int32Array<ArrayBuffer>): Int32Array<ArrayBuffer> => {
      const b = new Int32Array(2 * a.length);
      b.set(a);
      return b;
    };
    this.x = longer(this.x);
    this.y = longer(this.y);
    this.z = longer(this.z);
    this.slots = new Int32Array(2 * this.slots.length);
    for (let c = 0; c < this.count; c++) this.slots[this.slotOf(this.x[c], this.y[c], this.z[c])] = c + 1;
  }
}
