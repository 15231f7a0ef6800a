/** A stream of random numbers. The same key gives the same stream, on every machine. */
export interface Random {
  /** Uniform in [0, 1), 53 bits. */
  uniform(): number;
  /** Standard normal. */
  normal(): number;
  /** An independent stream that depends on this stream's key and on `label` alone, never on how many numbers were drawn before. */
  fork(label: string): Random;
}

const TWO_POW_32 = 4294967296;
const TWO_POW_53 = 9007199254740992;
/** Draws thrown away after the state is set, as the author of sfc32 advises, so that similar keys part. */
const WARM_UP = 15;

/**
 * Random numbers that depend on `key` and nothing else: sfc32 (C. Doty-Humphrey, PractRand), normal deviates by Marsaglia's polar method.
 *
 * @throws {RangeError} when a numeric key is not finite
 */
export function random(key: number | string): Random {
  if (typeof key === 'number' && !Number.isFinite(key)) throw new RangeError(`a random stream needs a finite key, not ${key}`);
  return new Sfc32(String(key));
}

class Sfc32 implements Random {
  private a: number;
  private b: number;
  private c: number;
  private counter = 1;
  private spare = 0;
  private hasSpare = false;
  private readonly key: string;

  constructor(key: string) {
    this.key = key;
    const words = hashWords(key);
    this.a = words[0];
    this.b = words[1];
    this.c = words[2];
    for (let i = 0; i < WARM_UP; i++) this.bits();
  }

  /** 32 random bits, as a signed integer. */
  private bits(): number {
    const sum = (this.a + this.b + this.counter) | 0;
    this.counter = (this.counter + 1) | 0;
    this.a = this.b ^ (this.b >>> 9);
    this.b = (this.c + (this.c << 3)) | 0;
    this.c = (((this.c << 21) | (this.c >>> 11)) + sum) | 0;
    return sum;
  }

  uniform(): number {
    const high = this.bits() >>> 5;
    const low = this.bits() >>> 6;
    return (high * 67108864 + low) / TWO_POW_53;
  }

  normal(): number {
    if (this.hasSpare) {
      this.hasSpare = false;
      return this.spare;
    }
    let x: number;
    let y: number;
    let r2: number;
    do {
      // The half keeps the deviates symmetrical about zero.
      x = (2 * (this.bits() + 0.5)) / TWO_POW_32;
      y = (2 * (this.bits() + 0.5)) / TWO_POW_32;
      r2 = x * x + y * y;
    } while (r2 >= 1);
    const factor = Math.sqrt((-2 * Math.log(r2)) / r2);
    this.spare = y * factor;
    this.hasSpare = true;
    return x * factor;
  }

  fork(label: string): Random {
    // Lengths in front, so that no two chains of labels spell the same key.
    return new Sfc32(`${this.key.length}:${this.key}/${label}`);
  }
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
