/** A stream of random numbers. The same key gives the same stream, on every machine. */
export interface Random {
  /** Uniform in [0, 1), 53 bits. */
  uniform(): number;
  /** Standard normal. */
  normal(): number;
  /** An independent stream that depends on this stream's key and on `label` alone, never on how many numbers were drawn before. */
  fork(label: string): Random;
}

const TWO_POW_31 = 2147483648;
const TWO_POW_53 = 9007199254740992;
/** Draws thrown away after the state is set, as the author of sfc32 advises, so that similar keys part. */
const WARM_UP = 15;

/** Layers of the ziggurat, where its lowest layer meets the tail, and the area of each layer (Doornik 2005). */
const LAYERS = 128;
const TAIL = 3.442619855899;
const LAYER_AREA = 9.91256303526217e-3;
const { edge: EDGE, ratio: RATIO } = ziggurat();

/**
 * Random numbers that depend on `key` and nothing else: sfc32 (C. Doty-Humphrey, PractRand); normal deviates by the ziggurat with independent draws
 * for layer and place (J. A. Doornik, An improved ziggurat method to generate normal random samples, 2005).
 *
 * @throws {RangeError} when a numeric key is not finite
 */
export function random(key: number | string): Random {
  if (typeof key === 'number' && !Number.isFinite(key)) throw new RangeError(`a random stream needs a finite key, not ${key}`);
  return new Sfc32(String(key));
}

class Sfc32 implements Random {
  /** a, b, c and the counter. */
  private readonly state: Int32Array;
  private readonly key: string;

  constructor(key: string) {
    this.key = key;
    this.state = Int32Array.of(...hashWords(key), 1);
    for (let i = 0; i < WARM_UP; i++) this.bits();
  }

  /** 32 random bits, as a signed integer. */
  private bits(): number {
    const state = this.state;
    const b = state[1];
    const c = state[2];
    const sum = (state[0] + b + state[3]) | 0;
    state[3] = (state[3] + 1) | 0;
    state[0] = b ^ (b >>> 9);
    state[1] = (c + (c << 3)) | 0;
    state[2] = (((c << 21) | (c >>> 11)) + sum) | 0;
    return sum;
  }

  uniform(): number {
    const high = this.bits() >>> 5;
    const low = this.bits() >>> 6;
    return (high * 67108864 + low) / TWO_POW_53;
  }

  normal(): number {
    for (;;) {
      const layer = this.bits() >>> 25;
      // The half keeps the deviates symmetrical about zero.
      const u = (this.bits() + 0.5) / TWO_POW_31;
      if (Math.abs(u) < RATIO[layer]) return u * EDGE[layer];
      if (layer === 0) return this.tail(u < 0);
      const x = u * EDGE[layer];
      const low = Math.exp(-0.5 * (EDGE[layer] * EDGE[layer] - x * x));
      const high = Math.exp(-0.5 * (EDGE[layer + 1] * EDGE[layer + 1] - x * x));
      if (high + this.uniform() * (low - high) < 1) return x;
    }
  }

  /** Deviate beyond the ziggurat's lowest layer (Marsaglia 1964). */
  private tail(negative: boolean): number {
    for (;;) {
      const x = Math.log(1 - this.uniform()) / TAIL;
      const y = Math.log(1 - this.uniform());
      if (-2 * y >= x * x) return negative ? x - TAIL : TAIL - x;
    }
  }

  fork(label: string): Random {
    // The length in front, so that no two chains of labels spell the same key.
    return new Sfc32(`${this.key.length}:${this.key}/${label}`);
  }
}

/** Right edges of the layers, and the share of each layer that lies wholly under the curve. */
function ziggurat(): { edge: Float64Array; ratio: Float64Array } {
  const edge = new Float64Array(LAYERS + 1);
  const ratio = new Float64Array(LAYERS);
  let height = Math.exp(-0.5 * TAIL * TAIL);
  edge[0] = LAYER_AREA / height;
  edge[1] = TAIL;
  for (let i = 2; i < LAYERS; i++) {
    edge[i] = Math.sqrt(-2 * Math.log(LAYER_AREA / edge[i - 1] + height));
    height = Math.exp(-0.5 * edge[i] * edge[i]);
  }
  for (let i = 0; i < LAYERS; i++) ratio[i] = edge[i + 1] / edge[i];
  return { edge, ratio };
}

/** Three well mixed 32-bit words of a text: FNV-1a from three starts, each finished with MurmurHash3's avalanche. */
function hashWords(text: string): [number, number, number] {
  const words = [0x811c9dc5, 0x9e3779b9, 0x85ebca6b];
  for (let i = 0; i < text.length; i++) {
    const unit = text.charCodeAt(i);
    for (let k = 0; k < 3; k++) words[k] = Math.imul(words[k] ^ unit ^ (k * 0x5bd1), 0x01000193 + 2 * k);
  }
  return [avalanche(words[0]), avalanche(words[1]), avalanche(words[2])];
}

function avalanche(word: number): number {
  let h = word;
  h = Math.imul(h ^ (h >>> 16), 0x85ebca6b);
  h = Math.imul(h ^ (h >>> 13), 0xc2b2ae35);
  return (h ^ (h >>> 16)) | 0;
}
