import type { ModelInstrument } from './model-instrument.ts';

type Vec = [number, number, number];

const lerp = (a: number, b: number, t: number) => a + (b - a) * t;

/** What the fittings of an instrument hang on, in drawing coordinates. */
export function stringLines(instrument: ModelInstrument): { nut: Vec; bridge: Vec; tail: Vec; radius: number }[] {
  const { body, neck, spec } = instrument;
  const f = spec.fittings;
  const n = f.stringRadii.length;
  const bridgeX = bridgeStation(instrument);
  return f.stringRadii.map((radius, k) => {
    const v = n === 1 ? 0 : (2 * k) / (n - 1) - 1;
    const yn = (v * f.stringSpanNut) / 2;
    const p = new Float64Array([neck.boardStart - 0.3, yn, nutTop(instrument, yn) + 0.6 * radius]);
    neck.place(p);
    const crown = bridgeCrown(instrument, (v * f.stringSpanBridge) / 2);
    const tailX = body.spec.outline.length - 0.07 * body.spec.outline.length - f.tailpieceLength;
    const tail = new Float64Array([tailX + 4, v * 0.36 * f.tailpieceWidth, tailpieceZ(instrument, 0.03)]);
    body.deform(tail);
    return { nut: [p[0], p[1], p[2]], bridge: [bridgeX, crown[0], crown[1] + 0.5 * radius], tail: [tail[0], tail[1], tail[2]], radius };
  });
}

const nutTop = (instrument: ModelInstrument, y: number) => {
  const s = instrument.spec.neck;
  return instrument.neck.surfaceZ(instrument.neck.boardStart, 0) + s.nutHeight - s.nutRadius + Math.sqrt(s.nutRadius ** 2 - y * y);
};

/** x of the middle of the bridge's feet in drawing coordinates. */
export function bridgeStation(instrument: ModelInstrument): number {
  const f = instrument.spec.body.fHoles;
  return (f.notchBass + f.notchTreble) / 2 + instrument.spec.fittings.bridgeShift;
}

/** The bridge's crown at `y` across it: [y, z] in drawing coordinates. */
export function bridgeCrown(instrument: ModelInstrument, y: number): [number, number] {
  const { neck, spec } = instrument.bridgeFor ?? instrument;
  const x = bridgeStation(instrument);
  const a = new Float64Array([neck.boardStart + 0.02 * spec.neck.board.length, 0, 0]);
  a[2] = neck.surfaceZ(a[0], 0);
  const b = new Float64Array([neck.boardEnd, 0, neck.surfaceZ(neck.boardEnd, 0)]);
  neck.place(a);
  neck.place(b);
  const z = b[2] + ((b[2] - a[2]) * (x - b[0])) / (b[0] - a[0]);
  const yMid = b[1] + ((b[1] - a[1]) * (x - b[0])) / (b[0] - a[0]);
  const r = 0.95 * spec.neck.board.radiusEnd + 4;
  const v = (2 * y) / spec.fittings.stringSpanBridge;
  // The bass side stands higher: its string swings wider.
  return [yMid + y, z + spec.fittings.crownOverBoard * (1 - 0.12 * v) + Math.sqrt(Math.max(0, r * r - y * y)) - r];
}

/** The bridge's thickness at its crown, as a share of that at its feet. */
const CROWN_THICKNESS = 0.35;

/** Height of the top under the middle of the bridge. */
export function bridgeFootZ(instrument: ModelInstrument, y: number): number {
  const { body } = instrument;
  const x = bridgeStation(instrument);
  const foot = new Float64Array([x, y, body.topZ(x, y, body.edgeDistance(x, y))]);
  body.deform(foot);
  return foot[2];
}

/** Tail face (flat, standing as the lean says) and thickness of the bridge at height z, a share `t` of the way from feet to crown: [x, thickness]. */
export function bridgeSection(instrument: ModelInstrument, z: number, t: number): [number, number] {
  const f = instrument.spec.fittings;
  const tilt = Math.tan(f.bridgeLean) * (z - bridgeFootZ(instrument, 0));
  return [bridgeStation(instrument) + f.bridgeThickness / 2 + tilt, lerp(f.bridgeThickness, CROWN_THICKNESS * f.bridgeThickness, t)];
}

export function tailpieceZ(instrument: ModelInstrument, t: number): number {
  const { spec } = instrument;
  const L = spec.body.outline.length;
  const near = bridgeCrown(instrument, 0)[1] * 0.62;
  const far = 5.5 * (L / 355);
  return lerp(near, far, t);
}
