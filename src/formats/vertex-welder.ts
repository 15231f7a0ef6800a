/** Slots a vertex, at least: an open table stays quick up to half full. */
const SLOTS_PER_VERTEX = 2;
/** Room at the start, whatever is expected. */
const LEAST_VERTICES = 64;
/** Bits of −0, which equals +0. */
const MINUS_ZERO = 0x80000000 | 0;
const EMPTY = -1;

/**
 * Gives equal vertices one number. Equal means the same float bits (and −0 = 0): nothing near is merged, so nothing moves.
 * An open-addressing table in typed arrays; cost and memory are linear in distinct vertices.
 */
export class VertexWelder {
  count = 0;
  #bits: Int32Array<ArrayBuffer>;
  #slots: Int32Array<ArrayBuffer>;
  #mask: number;

  /** @param expected  distinct vertices; only a guess, both arrays grow */
  constructor(expected: number) {
    const capacity = Math.max(LEAST_VERTICES, Math.ceil(expected));
    this.#bits = new Int32Array(3 * capacity);
    const slots = 2 ** Math.ceil(Math.log2(SLOTS_PER_VERTEX * capacity));
    this.#slots = new Int32Array(slots).fill(EMPTY);
    this.#mask = slots - 1;
  }

  /** @param x @param y @param z  bits of the three floats as 32-bit integers. @returns number of the vertex, counted from 0 */
  add(x: number, y: number, z: number): number {
    if (x === MINUS_ZERO) x = 0;
    if (y === MINUS_ZERO) y = 0;
    if (z === MINUS_ZERO) z = 0;
    const slots = this.#slots;
    const bits = this.#bits;
    const mask = this.#mask;
    let slot = hash(x, y, z) & mask;
    for (let found = slots[slot]; found !== EMPTY; found = slots[slot]) {
      const at = 3 * found;
      if (bits[at] === x && bits[at + 1] === y && bits[at + 2] === z) return found;
      slot = (slot + 1) & mask;
    }
    return this.#insert(slot, x, y, z);
  }

  /** 3 × count coordinates, in the order in which the vertices first came. */
  positions(): Float32Array<ArrayBuffer> {
    return new Float32Array(this.#bits.buffer.slice(0, 12 * this.count));
  }

  #insert(slot: number, x: number, y: number, z: number): number {
    const at = 3 * this.count;
    if (at + 3 > this.#bits.length) this.#growVertices();
    this.#bits[at] = x;
    this.#bits[at + 1] = y;
    this.#bits[at + 2] = z;
    this.#slots[slot] = this.count;
    this.count += 1;
    if (SLOTS_PER_VERTEX * this.count > this.#slots.length) this.#growTable();
    return this.count - 1;
  }

  #growVertices(): void {
    const grown = new Int32Array(2 * this.#bits.length);
    grown.set(this.#bits);
    this.#bits = grown;
  }

  #growTable(): void {
    const slots = new Int32Array(2 * this.#slots.length).fill(EMPTY);
    const mask = slots.length - 1;
    const bits = this.#bits;
    for (let i = 0; i < this.count; i++) {
      let slot = hash(bits[3 * i], bits[3 * i + 1], bits[3 * i + 2]) & mask;
      while (slots[slot] !== EMPTY) slot = (slot + 1) & mask;
      slots[slot] = i;
    }
    this.#slots = slots;
    this.#mask = mask;
  }
}

/** Mixes all bits into the low ones: neighbouring vertices differ in few, and often in the high bits of the mantissa only (MurmurHash3's finaliser). */
function hash(x: number, y: number, z: number): number {
  let h = Math.imul(x, 0x9e3779b1) ^ Math.imul(y, 0x85ebca77) ^ Math.imul(z, 0xc2b2ae3d);
  h = Math.imul(h ^ (h >>> 16), 0x85ebca6b);
  h = Math.imul(h ^ (h >>> 13), 0xc2b2ae35);
  return h ^ (h >>> 16);
}
