import type { Random } from './random.ts';

export type InstrumentClass = 'violin' | 'viola' | 'cello' | 'bass';
export type SetKind = 'modern' | 'early';

/** Usual sizes of one instrument, mm; what the makers call the set is below `neck`. */
export interface Dimensions {
  readonly body: number;
  readonly upper: number;
  readonly waist: number;
  readonly lower: number;
  readonly rib: number;
  readonly arch: number;
  readonly backArch: number;
  readonly edge: number;
  readonly overhang: number;
  readonly stop: number;
  readonly neck: number;
  readonly board: number;
  readonly boardNut: number;
  readonly boardEnd: number;
  readonly boardEdge: number;
  readonly radius: number;
  readonly scoop: number;
  readonly overstand: number;
  readonly projection: number;
  readonly neckThickness: number;
  readonly button: number;
  readonly buttonLength: number;
}

export const BODY_UNIT = 355;

const USUAL: Record<InstrumentClass, Dimensions> = {
  violin: {
    body: 355,
    upper: 168,
    waist: 111,
    lower: 207,
    rib: 29.5,
    arch: 11.8,
    backArch: 11,
    edge: 4,
    overhang: 2.5,
    stop: 195,
    neck: 130,
    board: 269,
    boardNut: 24,
    boardEnd: 42.5,
    boardEdge: 4.9,
    radius: 42,
    scoop: 0.6,
    overstand: 5.9,
    projection: 27,
    neckThickness: 19,
    button: 20.6,
    buttonLength: 12.8,
  },
  viola: {
    body: 408,
    upper: 192,
    waist: 131,
    lower: 240,
    rib: 37.5,
    arch: 13.3,
    backArch: 12.5,
    edge: 4.6,
    overhang: 2.9,
    stop: 222,
    neck: 148,
    board: 300,
    boardNut: 25.5,
    boardEnd: 46.5,
    boardEdge: 5.4,
    radius: 41,
    scoop: 0.75,
    overstand: 7.6,
    projection: 32,
    neckThickness: 20,
    button: 22.3,
    buttonLength: 13.8,
  },
  cello: {
    body: 756,
    upper: 343,
    waist: 232,
    lower: 438,
    rib: 117,
    arch: 22.5,
    backArch: 21,
    edge: 4.9,
    overhang: 3.6,
    stop: 400,
    neck: 280,
    board: 582,
    boardNut: 32,
    boardEnd: 63,
    boardEdge: 7.6,
    radius: 66,
    scoop: 1.7,
    overstand: 19.5,
    projection: 80.5,
    neckThickness: 29.5,
    button: 30,
    buttonLength: 19,
  },
  bass: {
    body: 1110,
    upper: 510,
    waist: 372,
    lower: 665,
    rib: 196,
    arch: 31,
    backArch: 24,
    edge: 7,
    overhang: 5.5,
    stop: 600,
    neck: 444,
    board: 860,
    boardNut: 43,
    boardEnd: 89,
    boardEdge: 10.5,
    radius: 92,
    scoop: 3.2,
    overstand: 30,
    projection: 150,
    neckThickness: 41,
    button: 50,
    buttonLength: 34,
  },
};

/** The usual dimensions of a class and set, each moved a little, as instruments differ; `length` (mm) makes fractional sizes. */
export function drawDimensions(kind: InstrumentClass, set: SetKind, length: number | undefined, random: Random): Dimensions {
  const usual = USUAL[kind];
  const own = (value: number, spread: number): number => value * (1 + spread * (2 * random.next() - 1));
  const f = (length ?? own(usual.body, 0.012)) / usual.body;
  const drawn: Record<string, number> = {};
  for (const [name, value] of Object.entries(usual)) drawn[name] = name === 'body' ? value * f : own(value, SPREAD[name] ?? 0.03) * f;
  // small instruments keep relatively thick edges and boards
  drawn['edge'] *= f ** -0.35;
  if (set === 'early') {
    drawn['neck'] *= random.between(0.9, 0.965);
    drawn['board'] *= random.between(0.72, 0.84);
    drawn['overstand'] *= random.between(0.6, 0.95);
    drawn['projection'] *= random.between(0.62, 0.8);
    drawn['boardEdge'] *= random.between(0.8, 1);
    drawn['arch'] *= random.between(0.72, 0.95);
    drawn['neckThickness'] *= random.between(1.02, 1.14);
    drawn['boardEnd'] = drawn['boardNut'] + (drawn['boardEnd'] - drawn['boardNut']) * 0.85;
  }
  return drawn as unknown as Dimensions;
}

const SPREAD: Record<string, number> = {
  upper: 0.02,
  waist: 0.025,
  lower: 0.02,
  stop: 0.015,
  neck: 0.015,
  board: 0.012,
  boardNut: 0.025,
  boardEnd: 0.02,
  arch: 0.09,
  backArch: 0.1,
  overstand: 0.09,
  projection: 0.025,
  scoop: 0.3,
  radius: 0.06,
};
