import { describe, expect, it } from 'vitest';
import type { Cloud } from '../../../src/geometry/cloud.ts';
import { stationFamily } from '../../../src/measures/station/station-family.ts';
import { random } from '../../../src/numerics/random.ts';
import { evaluated, PointList, reversed, workpieceOf } from '../point-list.ts';

const SIGMA = 0.05;
/** Tips of the inner notches. */
const BASS_X = 195.4;
const TREBLE_X = 194.7;
const STEM_SLOPE = 0.13;
const NOTCH_DEPTH = 1.4;
const NOTCH_HALF = 0.9;
/** The bridge: middle of its feet, lean of its tail side (degrees, towards the board), crown. */
const FEET_X = 195.9;
const LEAN = -2;
const CROWN = 45;
/** The saddle's highest line. */
const SADDLE_X = 352;
const SADDLE_Z = 3.2;
const topZ = (x: number, y: number) => 13 - 0.0012 * (x - 190) ** 2 - 0.0045 * y * y;

interface Dress {
  readonly bridge?: true;
  /** Height of the bridge's crown over the edge plane, mm. */
  readonly crown?: number;
  /** Sides of the gut on which the saddle is seen. */
  readonly saddle?: readonly (-1 | 1)[];
  /** Sides whose f-holes have no notches. */
  readonly unnotched?: readonly (-1 | 1)[];
  readonly spacing?: number;
}

/** Distance along the stem from its notch, and into the plate from its inner edge; the stem is 5.5 mm wide and some 60 long. */
function stemCoordinates(x: number, y: number): { side: -1 | 1; t: number; into: number } {
  const side = y < 0 ? -1 : 1;
  const cosine = 1 / Math.hypot(1, STEM_SLOPE);
  const dx = x - (side < 0 ? BASS_X : TREBLE_X);
  const dy = Math.abs(y) - 34.5;
  return { side, t: cosine * (dx + STEM_SLOPE * dy), into: cosine * (STEM_SLOPE * dx - dy) + NOTCH_DEPTH };
}

/** How far the hole's inner and outer edges reach into the plate at t. */
const notchAt = (t: number) => Math.max(0, NOTCH_DEPTH * (1 - Math.abs(t) / NOTCH_HALF));
const WIDTH = 5.5;

/** The walls of one hole's stem, 2.8 mm deep. */
function addWalls(list: PointList, side: -1 | 1, notched: number, spacing: number): void {
  const cosine = 1 / Math.hypot(1, STEM_SLOPE);
  for (const edge of [1, -1] as const) {
    list.patch([-30, 30], [0, 2.8], spacing, (t, depth) => {
      const into = edge > 0 ? notched * notchAt(t) : -WIDTH - notched * notchAt(t);
      const n = into - NOTCH_DEPTH;
      const x = (side < 0 ? BASS_X : TREBLE_X) + cosine * (t + STEM_SLOPE * n);
      const y = side * (34.5 + cosine * (STEM_SLOPE * t - n));
      return [
        [x, y, topZ(x, y) - depth],
        [-STEM_SLOPE, side, 0],
      ];
    });
  }
}

function inHole(x: number, y: number, unnotched: readonly (-1 | 1)[]): boolean {
  const { side, t, into } = stemCoordinates(x, y);
  if (Math.abs(t) > 30) return false;
  const notch = unnotched.includes(side) ? 0 : notchAt(t);
  return into < notch && into > -WIDTH - notch;
}

function topCloud(key: string, { bridge, crown = CROWN, saddle = [], unnotched = [], spacing = 0.5 }: Dress = {}): Cloud {
  const list = new PointList(random(key), SIGMA);
  list.patch([150, 245], [-60, 60], spacing, (x, y) =>
    inHole(x, y, unnotched)
      ? undefined
      : [
          [x, y, topZ(x, y)],
          [0.0024 * (x - 190), 0.009 * y, 1],
        ],
  );
  for (const side of [-1, 1] as const) addWalls(list, side, unnotched.includes(side) ? 0 : 1, spacing);
  if (bridge) addBridge(list, spacing, crown);
  for (const side of saddle)
    list.patch([SADDLE_X - 2, SADDLE_X + 2], [5, 16], spacing, (x, y) => [
      [x, side * y, SADDLE_Z - 0.1 * (x - SADDLE_X) ** 2],
      [0.2 * (x - SADDLE_X), 0, 1],
    ]);
  return list.cloud();
}

/** A slab that tapers from 4.4 mm at the feet to 1.4 at the crown, with a straight tail side. */
function addBridge(list: PointList, spacing: number, crown: number): void {
  const foot = topZ(FEET_X, 0);
  const lean = Math.tan((LEAN * Math.PI) / 180);
  const tail = (z: number) => FEET_X + 2.2 + lean * (z - foot);
  const board = (z: number) => tail(z) - 4.4 + (3 * (z - foot)) / (crown - foot);
  const height = (y: number) => crown - (y * y) / 84;
  const inside = (z: number, y: number) => z < height(y) && z > topZ(FEET_X, y) && !(Math.abs(y) < 9 && z < foot + 8);
  list.patch([10, crown], [-20, 20], spacing, (z, y) =>
    inside(z, y)
      ? [
          [tail(z), y, z],
          [1, 0, -lean],
        ]
      : undefined,
  );
  list.patch([10, crown], [-20, 20], spacing, (z, y) =>
    inside(z, y)
      ? [
          [board(z), y, z],
          [-1, 0, 0.05],
        ]
      : undefined,
  );
  list.patch([board(crown), tail(crown)], [-18, 18], spacing / 2, (x, y) => [
    [x, y, height(y)],
    [0, y / 42, 1],
  ]);
}

const gather = (cloud: Cloud, spacing = 0.5) => stationFamily.gather(workpieceOf(cloud, SIGMA, spacing));

describe('stationFamily', () => {
  const fitted = gather(topCloud('fitted', { bridge: true }));
  const { values, shared } = evaluated(fitted, {
    'boardLine.z0': 14,
    'boardLine.slope': 0.12,
    'board.nutX': -128,
    'boardCentre.y0': 0,
    'boardCentre.slope': 0,
  });

  it('finds both inner notches where their flanks meet', () => {
    // 0.3 mm: what points 0.5 mm apart and corners tell of a notch 1.8 mm wide (trials: 0.2 to 0.5).
    expect(Math.abs((values.get('stopBass') ?? NaN) - BASS_X)).toBeLessThan(0.3);
    expect(Math.abs((values.get('stopTreble') ?? NaN) - TREBLE_X)).toBeLessThan(0.3);
    expect(Math.abs(values.get('notchOffset') ?? NaN)).toBeLessThan(0.4);
    expect(shared.get('station.notches')).toBeCloseTo(((values.get('stopBass') ?? NaN) + (values.get('stopTreble') ?? NaN)) / 2, 9);
  });

  it('finds where the bridge stands, how high and how it leans', () => {
    expect(Math.abs((shared.get('station.bridge') ?? NaN) - FEET_X)).toBeLessThan(0.15);
    expect(Math.abs((values.get('bridgeLean') ?? NaN) - LEAN)).toBeLessThan(0.1);
    expect(Math.abs((values.get('bridgeHeight') ?? NaN) - (CROWN - topZ(FEET_X, 0)))).toBeLessThan(0.15);
  });

  it('measures the string from the nut to the crown', () => {
    const crownX = FEET_X + 2.2 - 0.7 + Math.tan((LEAN * Math.PI) / 180) * (CROWN - topZ(FEET_X, 0));
    expect(Math.abs((values.get('stringLength') ?? NaN) - Math.hypot(crownX + 128, CROWN - 14 + 0.12 * 128))).toBeLessThan(0.1);
  });

  // Crowns of basses stand up to 85 mm × size over the edges (190 mm of bridge on 55 mm of arch, at 3.1 times a violin): a cut one must not be measured.
  it.each([30, 60, 85])('measures a bridge whose crown stands %d mm over the edges', (crown) => {
    const found = evaluated(gather(topCloud(`crown ${crown}`, { bridge: true, crown })));
    expect(Math.abs((found.values.get('bridgeHeight') ?? NaN) - (crown - topZ(FEET_X, 0)))).toBeLessThan(0.15);
  });

  it('measures the angle of the strings over the bridge where the saddle is seen on both sides of the gut', () => {
    const line = { 'boardLine.z0': 14, 'boardLine.slope': 0.12, 'board.nutX': -128, 'boardCentre.y0': 0, 'boardCentre.slope': 0 };
    const found = evaluated(gather(topCloud('saddle', { bridge: true, saddle: [-1, 1] })), line);
    const crownX = FEET_X + 2.2 - 0.7 + Math.tan((LEAN * Math.PI) / 180) * (CROWN - topZ(FEET_X, 0));
    const rise = Math.atan2(CROWN - 14 + 0.12 * 128, crownX + 128);
    const fall = Math.atan2(CROWN - SADDLE_Z, SADDLE_X - crownX);
    expect(Math.abs((found.values.get('stringAngle') ?? NaN) - (180 - ((rise + fall) * 180) / Math.PI))).toBeLessThan(0.15);
    const half = gather(topCloud('half a saddle', { bridge: true, saddle: [1] }));
    expect(evaluated(half, line).values.has('stringAngle')).toBe(false);
    expect(half.absent.get('stringAngle')).toContain('saddle');
  });

  // Openings without notches, and a bridge: it may stand beside where the notches are.
  it('doubts a station that only the bridge gives where notches are not told', () => {
    const found = gather(topCloud('plain holes', { bridge: true, unnotched: [-1, 1] }));
    expect(found.blur?.get('stop')).toBeGreaterThan(0.5);
    expect(gather(topCloud('fitted', { bridge: true })).blur?.get('stop')).toBeUndefined();
  });

  it('has no bridge measure without a bridge, and says so', () => {
    const bare = gather(topCloud('bare'));
    const found = evaluated(bare);
    expect(found.shared.has('station.bridge')).toBe(false);
    expect(found.shared.has('station.notches')).toBe(true);
    expect(bare.absent.get('bridgeHeight')).toBe('no bridge is seen');
  });

  it('takes one notch for the station with at least 1 mm of uncertainty, and warns', () => {
    const one = gather(topCloud('one', { unnotched: [1] }));
    const found = evaluated(one);
    expect(found.values.has('stopTreble')).toBe(false);
    expect(found.values.has('notchOffset')).toBe(false);
    expect(Math.abs((found.shared.get('station.notches') ?? NaN) - BASS_X)).toBeLessThan(0.3);
    expect(one.samples['station.otherSide'].u[0]).toBeGreaterThanOrEqual(1);
    expect(one.warnings.join()).toContain('only one inner notch');
  });

  it('does not guess on a scan too coarse for notches', () => {
    const coarse = gather(topCloud('coarse', { spacing: 3.5 }), 3.5);
    const found = evaluated(coarse);
    expect(found.shared.has('station.notches')).toBe(false);
    expect(coarse.absent.get('stopBass')).toMatch(/notch|f-hole/);
  });

  it('finds no notch where the top has no openings', () => {
    const list = new PointList(random('closed'), SIGMA);
    list.patch([150, 245], [-60, 60], 0.5, (x, y) => [
      [x, y, topZ(x, y)],
      [0, 0, 1],
    ]);
    expect(gather(list.cloud()).absent.get('stopTreble')).toBe('no opening of an f-hole is seen');
  });

  it('gives the same values whatever the order of the points', () => {
    const turned = evaluated(gather(reversed(topCloud('fitted', { bridge: true }))));
    for (const id of ['stopBass', 'stopTreble', 'bridgeLean'] as const) {
      expect(Math.abs((turned.values.get(id) ?? NaN) - (values.get(id) ?? NaN))).toBeLessThan(0.05);
    }
  });
});
