import { InputError } from '../geometry/input-error.ts';

const BLOCK_POINTS = 1 << 16;
/** Points: 1.5 GB while they are read. A violin at 0.05 mm spacing has as many; what is measured needs a hundredth. */
export const MOST_POINTS = 60e6;

/** Collects points without knowing how many will come: blocks, so that nothing is copied when there are more. */
export class PointSink {
  count = 0;
  readonly #make: () => Float32Array | Float64Array;
  readonly #blocks: (Float32Array | Float64Array)[] = [];
  #block: Float32Array | Float64Array;
  #at = 0;

  /** @param precision  of the file: `single` where its numbers are 32-bit floats, else `double` */
  constructor(precision: 'single' | 'double') {
    this.#make = precision === 'single' ? () => new Float32Array(3 * BLOCK_POINTS) : () => new Float64Array(3 * BLOCK_POINTS);
    this.#block = this.#make();
    this.#blocks.push(this.#block);
  }

  add(x: number, y: number, z: number): void {
    if (this.#at === this.#block.length) this.#nextBlock();
    this.#block[this.#at++] = x;
    this.#block[this.#at++] = y;
    this.#block[this.#at++] = z;
    this.count += 1;
  }

  /** Coordinate `axis` (0, 1, 2) of point `index`. */
  coordinate(index: number, axis: number): number {
    return this.#blocks[Math.floor(index / BLOCK_POINTS)][3 * (index % BLOCK_POINTS) + axis];
  }

  /** All points, in order, less `origin`, narrowed after the subtraction. */
  narrow(origin: readonly [number, number, number]): Float32Array {
    const positions = new Float32Array(3 * this.count);
    let at = 0;
    for (const block of this.#blocks) {
      const end = Math.min(block.length, positions.length - at);
      for (let i = 0; i < end; i += 3, at += 3) {
        positions[at] = block[i] - origin[0];
        positions[at + 1] = block[i + 1] - origin[1];
        positions[at + 2] = block[i + 2] - origin[2];
      }
    }
    return positions;
  }

  #nextBlock(): void {
    if (this.count >= MOST_POINTS)
      throw new InputError('too-large', `holds more than ${MOST_POINTS / 1e6} million points: thin the scan first`);
    this.#block = this.#make();
    this.#blocks.push(this.#block);
    this.#at = 0;
  }
}
