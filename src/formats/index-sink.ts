import { InputError } from '../geometry/input-error.ts';
import { MOST_POINTS } from './point-sink.ts';

/** Triangles: two a point, as on any closed surface. */
const MOST_TRIANGLES = 2 * MOST_POINTS;

/** Collects vertex indices of triangles; grows by doubling. */
export class IndexSink {
  count = 0;
  #values = new Uint32Array(1 << 12);

  addTriangle(a: number, b: number, c: number): void {
    if (this.count + 3 > this.#values.length) this.#grow();
    this.#values[this.count++] = a;
    this.#values[this.count++] = b;
    this.#values[this.count++] = c;
  }

  /** A view of what was collected; not a copy. */
  values(): Uint32Array {
    return this.#values.subarray(0, this.count);
  }

  #grow(): void {
    if (this.count > 3 * MOST_TRIANGLES) {
      throw new InputError('too-large', `holds more than ${MOST_TRIANGLES / 1e6} million triangles: thin the scan first`);
    }
    const grown = new Uint32Array(2 * this.#values.length);
    grown.set(this.#values);
    this.#values = grown;
  }
}
