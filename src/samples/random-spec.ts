import type { Random } from '../numerics/random.ts';
import type { InstrumentSpec, ModelClass, ModelSet } from './model-instrument.ts';

/** Middle figures of a class; mm. Sources: trade tables of the usual sizes. */
interface ClassFigures {
  readonly length: number;
  readonly upper: number;
  readonly waist: number;
  readonly lower: number;
  readonly rib: number;
  readonly edge: number;
  readonly overhang: number;
  readonly arch: number;
  readonly stop: number;
  readonly neck: number;
  readonly overstand: number;
  readonly board: number;
  readonly widthNut: number;
  readonly widthEnd: number;
  readonly side: number;
  readonly radius: number;
  readonly scoop: number;
  readonly projection: number;
  readonly thickness: number;
  readonly button: readonly [number, number];
  readonly notchHalf: number;
  readonly fLength: number;
  readonly head: number;
}

const FIGURES: Readonly<Record<ModelClass, ClassFigures>> = {
  violin: {
    length: 355,
    upper: 167,
    waist: 111,
    lower: 207,
    rib: 30.5,
    edge: 4,
    overhang: 2.6,
    arch: 16,
    stop: 195,
    neck: 130,
    overstand: 6.1,
    board: 270,
    widthNut: 24,
    widthEnd: 42,
    side: 5.2,
    radius: 42,
    scoop: 0.6,
    projection: 27.2,
    thickness: 19,
    button: [21, 13],
    notchHalf: 35,
    fLength: 73,
    head: 105,
  },
  viola: {
    length: 408,
    upper: 190,
    waist: 131,
    lower: 240,
    rib: 38,
    edge: 4.5,
    overhang: 2.8,
    arch: 17.5,
    stop: 222,
    neck: 148,
    overstand: 7.8,
    board: 297,
    widthNut: 25.5,
    widthEnd: 46,
    side: 5.6,
    radius: 40,
    scoop: 0.8,
    projection: 31.5,
    thickness: 19.8,
    button: [22.5, 14],
    notchHalf: 39,
    fLength: 83,
    head: 118,
  },
  cello: {
    length: 755,
    upper: 344,
    waist: 231,
    lower: 438,
    rib: 116,
    edge: 5.2,
    overhang: 3.6,
    arch: 27,
    stop: 400,
    neck: 280,
    overstand: 20,
    board: 582,
    widthNut: 32,
    widthEnd: 63,
    side: 8.5,
    radius: 66,
    scoop: 1.7,
    projection: 81,
    thickness: 28.5,
    button: [30, 20],
    notchHalf: 67,
    fLength: 150,
    head: 195,
  },
  bass: {
    length: 1110,
    upper: 510,
    waist: 370,
    lower: 670,
    rib: 200,
    edge: 7,
    overhang: 5,
    arch: 38,
    stop: 600,
    neck: 440,
    overstand: 30,
    board: 880,
    widthNut: 43,
    widthEnd: 88,
    side: 11,
    radius: 85,
    scoop: 3.5,
    projection: 130,
    thickness: 40,
    button: [45, 28],
    notchHalf: 105,
    fLength: 205,
    head: 290,
  },
};

const DEGREE = Math.PI / 180;

/**
 * Draws a spec round the usual figures of a class and set. Two draws with the same stream are equal.
 *
 * @param size  share of the full size, for fractional instruments
 */
export function randomInstrument(modelClass: ModelClass, set: ModelSet, random: Random, size = 1): InstrumentSpec {
  const c = FIGURES[modelClass];
  const n = (sigma: number) => sigma * Math.max(-2.2, Math.min(2.2, random.normal()));
  const u = (a: number, b: number) => a + (b - a) * random.uniform();
  const length = size * c.length * (1 + n(modelClass === 'viola' ? 0.025 : 0.008));
  const k = length / c.length;
  const unit = length / 355;
  const early = set === 'early';
  const arch = k * c.arch * (1 + n(0.07));
  const stop = k * c.stop * (1 + n(0.006));
  const neckLength = (early ? 0.93 : 1) * k * c.neck * (1 + n(0.008));
  const overstand = (early ? 0.75 : 1) * k * c.overstand * (1 + n(0.07));
  const boardLength = (early ? 0.76 : 1) * k * c.board * (1 + n(0.008));
  const side = k * c.side * (1 + n(0.05));
  const radius = k * c.radius * (1 + n(0.03));
  const widthEnd = k * c.widthEnd * (1 + n(0.012)) * (early ? 0.97 : 1);
  const projection = (early ? 0.9 : 1) * k * c.projection * (1 + n(0.025));
  // The height of the board over the crest at x = 0 and its rise to the projection give the angle of the board line.
  const edgeNut = side * (early ? 0.8 : 1);
  const rise = crown(widthEnd, radius) - crown(c.widthNut * k, radius);
  // Early boards are wedges; modern ones have sides of nearly the same height throughout.
  const edgeEnd = early ? edgeNut + boardLength * Math.tan(u(2.2, 3.6) * DEGREE) - rise : edgeNut * (1 + n(0.04));
  const wedge = Math.atan((edgeEnd - edgeNut + rise) / boardLength);
  const share = neckLength / boardLength;
  const heightAtJoint =
    overstand + edgeNut + (edgeEnd - edgeNut) * share + crown(c.widthNut * k + (widthEnd - c.widthNut * k) * share, radius);
  const boardAngle = Math.atan((projection + 0.97 * arch - heightAtJoint) / stop);
  const bassScoop = c.scoop * k * 1.25 * (1 + n(0.12));
  const humped = random.uniform() < 0.06;
  return {
    class: modelClass,
    set,
    body: {
      outline: {
        length,
        widthUpper: k * c.upper * (1 + n(0.01)),
        widthWaist: k * c.waist * (1 + n(0.012)),
        widthLower: k * c.lower * (1 + n(0.01)),
        cornerWear: unit * u(0.4, 1.3),
        slope: modelClass === 'bass' ? u(0.4, 1) : 0,
      },
      ribUpper: k * c.rib * (1 + n(0.02)) * 0.985,
      ribLower: k * c.rib * (1 + n(0.02)) * 1.015,
      edgeThickness: c.edge * k * (1 + n(0.05)),
      overhang: c.overhang * k * (1 + n(0.08)),
      crestInset: unit ** 0.75 * u(1.5, 2.3),
      channelInset: unit ** 0.85 * u(5.4, 7.2),
      channelDepth: unit ** 0.6 * u(0.5, 1.3),
      archTop: arch,
      archBack: arch * u(0.88, 1),
      fHoles: {
        notchBass: stop + n(0.9 * unit) + 1.2 * unit,
        notchTreble: stop + n(0.9 * unit) + 1.2 * unit,
        notchHalfSpan: c.notchHalf * k * (1 + n(0.02)),
        length: c.fLength * k * (1 + n(0.03)),
        wall: unit ** 0.6 * u(2.4, 3.2),
      },
      buttonWidth: c.button[0] * k * (1 + n(0.04)),
      buttonLength: c.button[1] * k * (1 + n(0.05)),
      saddleWidth: 0.1 * length * (1 + n(0.05)),
      distortion: {
        bend: n(0.5 * unit),
        sway: n(0.4 * unit),
        skew: n(0.8 * unit),
        lopsided: n(0.7 * unit),
        twist: n(0.12 * unit),
        bow: n(0.12 * unit),
        cup: n(0.1 * unit),
        swell: n(0.5 * unit),
        swellAt: n(20 * unit),
        crestWave: Math.abs(n(0.05 * unit)),
        crestPhase: u(0, 6.28),
      },
    },
    neck: {
      length: neckLength,
      overstand,
      bedAngle: boardAngle - wedge,
      offset: n(0.5 * unit),
      yaw: n(0.25) * DEGREE,
      roll: n(0.5) * DEGREE,
      twist: n(0.6) * DEGREE,
      hump: humped ? u(-0.6, 0.9) * unit : n(0.05 * unit),
      inset: random.uniform() < 0.5 ? 0 : u(0.02, 0.15) * unit,
      fillet: random.uniform() < 0.4 ? u(0.6, 1.6) * unit : 0,
      thicknessNut: c.thickness * k * (1 + n(0.025)),
      thicknessHeel: c.thickness * k * (1 + n(0.025)) * 1.09,
      nutLength: unit ** 0.7 * u(4.6, 6.4),
      nutHeight: unit ** 0.5 * u(0.4, 0.9),
      nutRadius: radius * u(0.85, 1.1),
      headLength: c.head * k * (1 + n(0.015)),
      board: {
        length: boardLength,
        widthNut: c.widthNut * k * (1 + n(0.015)),
        widthEnd,
        edgeNut,
        edgeEnd,
        radiusNut: radius * (1 + n(0.04)),
        radiusEnd: radius,
        scoopBass: bassScoop,
        scoopCentre: c.scoop * k * (1 + n(0.12)),
        scoopTreble: c.scoop * k * 0.7 * (1 + n(0.15)),
        arris: unit ** 0.5 * u(0.3, 1),
        undercut: unit * u(0, 0.5),
        hollow: unit * u(1, 2.6),
        thinning: early ? u(1, 2.5) * unit : 0,
        flareBass: random.uniform() < 0.06 ? u(0.5, 2) * unit : 0,
        flareTreble: random.uniform() < 0.06 ? u(0.5, 2) * unit : 0,
        flareFrom: 0.15 * boardLength,
        endLean: unit * u(-0.3, 0.8),
      },
      heel: {
        lean: u(modelClass === 'cello' ? 3 : 4, modelClass === 'cello' ? 9 : 14) * DEGREE,
        bow: -u(0.05, 0.6) * unit,
        throat: c.button[1] * k + unit ** 0.9 * u(20, 26),
        spread: u(0.88, 1),
      },
    },
    fittings: {
      crownOverBoard: c.projection * k * (modelClass === 'bass' ? 0.15 : modelClass === 'cello' ? 0.19 : 0.22),
      bridgeThickness: 4.4 * unit ** 0.9,
      bridgeWidth: 1.17 * c.notchHalf * k,
      bridgeLean: n(1.5) * DEGREE,
      bridgeShift: n(0.8 * unit),
      stringSpanNut: 0.69 * c.widthNut * k,
      stringSpanBridge: (modelClass === 'violin' ? 33.5 : modelClass === 'viola' ? 37 : modelClass === 'cello' ? 47 : 78) * k,
      stringRadii: [0.42, 0.36, 0.3, 0.16].map((r) => r * unit ** 0.8),
      tailpieceLength: 0.31 * length,
      tailpieceWidth: 0.127 * length,
      chinRest: modelClass === 'violin' || modelClass === 'viola' ? 'bass-side' : 'none',
    },
  };
}

/** Height of the board's middle over its arrises. */
function crown(width: number, radius: number): number {
  return radius - Math.sqrt(radius * radius - (width * width) / 4);
}
