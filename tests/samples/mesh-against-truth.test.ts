import { beforeAll, describe, expect, it } from 'vitest';
import { applyToPoints } from '../../src/geometry/motion.ts';
import { random } from '../../src/numerics/random.ts';
import { buildInstrument, meshInstrument, randomSpec } from '../../src/samples/instrument.ts';
import { PART } from '../../src/samples/part.ts';
import { type InstrumentTruth, instrumentTruth } from '../../src/samples/truth.ts';
import { drawingToFrame } from '../../src/samples/truth-frame.ts';
import { straightLine, supportLine } from '../../src/samples/truth-lines.ts';

type Point = readonly [number, number, number];

/** The triangles' own corners, read without any of the functions that they were made from. */
describe.each(['violin', 'cello'] as const)('corners of a %s', (modelClass) => {
  let points: Map<number, Point[]>;
  let truth: InstrumentTruth;
  let unit: number;
  beforeAll(() => {
    const instrument = buildInstrument(randomSpec(modelClass, 'modern', random('corners')));
    truth = instrumentTruth(instrument);
    unit = truth.values.bodyLength / 355;
    const mesh = meshInstrument(instrument, 1.1 * unit, 'bare');
    const p = applyToPoints(drawingToFrame(instrument), mesh.positions, new Float64Array(mesh.positions.length));
    points = new Map();
    mesh.labels.forEach((label, i) => {
      const list = points.get(label) ?? [];
      list.push([p[3 * i], p[3 * i + 1], p[3 * i + 2]]);
      points.set(label, list);
    });
  });
  const of = (part: number): Point[] => points.get(part) ?? [];

  it('lie where bodyLength and the widths say', () => {
    const edge = of(PART.edge);
    const { values } = truth;
    expect(Math.abs(Math.max(...edge.map((q) => q[0])) - values.bodyLength)).toBeLessThan(0.03 * unit);
    const width = (from: number, to: number) => {
      const part = edge.filter((q) => q[0] > from * values.bodyLength && q[0] < to * values.bodyLength).map((q) => q[1]);
      return Math.max(...part) - Math.min(...part);
    };
    // Widths at equal x: an asymmetrical body is a little wider over all.
    expect(Math.abs(width(0.1, 0.3) - values.widthUpper)).toBeLessThan(0.15 * unit);
    expect(Math.abs(width(0.7, 0.9) - values.widthLower)).toBeLessThan(0.15 * unit);
    const top = of(PART.top).filter((q) => Math.abs(q[1]) < unit);
    expect(Math.abs(Math.max(...top.map((q) => q[2])) - values.archHeight)).toBeLessThan(0.03 * unit);
  });

  it('have their crest in the edge plane', () => {
    const highest = new Map<number, number>();
    for (const [x, y, z] of of(PART.edge)) {
      const key = Math.round(x / (3 * unit)) * 1000 + Math.round(y / (3 * unit));
      if (x > 25 * unit && x < 0.95 * truth.values.bodyLength) highest.set(key, Math.max(highest.get(key) ?? -99, z));
    }
    const crest = [...highest.values()].filter((z) => z > -0.6 * unit).sort((a, b) => a - b);
    expect(Math.abs(crest[Math.floor(0.7 * crest.length)])).toBeLessThan(0.12 * unit);
    expect(crest[crest.length - 1]).toBeLessThan(truth.values.edgeFlatnessPV);
  });

  it('carry the board line that the truth gives', () => {
    const { values, profiles } = truth;
    const slope = Math.tan((values.boardYaw * Math.PI) / 180);
    const at0 = values.boardOffset - slope * values.stop;
    const ridge = of(PART.playingSurface)
      .filter(([x, y]) => Math.abs(y - at0 - slope * x) < 0.7 * unit)
      .sort((a, b) => a[0] - b[0]);
    const inner = ridge.filter((q) => q[0] > ridge[0][0] + 2 && q[0] < ridge[ridge.length - 1][0] - 2);
    const line = supportLine(
      inner.map((q) => q[0]),
      inner.map((q) => q[2]),
    );
    expect(Math.abs((Math.atan(line.slope) * 180) / Math.PI - values.neckAngle)).toBeLessThan(0.02);
    const z = line.z0 + line.slope * values.stop;
    expect(Math.abs(z - profiles.boardLine.z0 - profiles.boardLine.slope * values.stop)).toBeLessThan(0.03 * unit);
    const top = of(PART.top).filter(([x, y]) => Math.hypot(x - values.stop, y) < 1.5 * unit);
    const height = top.reduce((s, q) => s + q[2], 0) / top.length;
    expect(Math.abs(z - height - values.projection)).toBeLessThan(0.06 * unit);
  });

  it('carry the heel that the truth gives', () => {
    const { values, secondary } = truth;
    const heel = of(PART.heel).filter(([x, y]) => Math.abs(y) < 1.2 * unit && x < -5 * unit);
    const foot = Math.min(
      ...of(PART.button)
        .filter(([x]) => x <= 0)
        .map((q) => q[2]),
    );
    const part = heel.filter((q) => q[2] > foot + 0.15 * secondary.heelHeight && q[2] < foot + 0.5 * secondary.heelHeight);
    expect(part.length).toBeGreaterThan(20);
    const lean =
      (-Math.atan(
        straightLine(
          part.map((q) => q[2]),
          part.map((q) => q[0]),
        ).slope,
      ) *
        180) /
      Math.PI;
    expect(Math.abs(lean - values.heelLean)).toBeLessThan(0.4);
  });
});

describe('corners of a bridge', () => {
  // A bridge that leans and tapers: its crown is not above the middle of its feet.
  it('have their upper edge where stringLength and bridgeHeight say', () => {
    const spec = randomSpec('violin', 'modern', random('crown'));
    const instrument = buildInstrument({ ...spec, fittings: { ...spec.fittings, bridgeLean: 0.05 } });
    const { values, secondary, profiles } = instrumentTruth(instrument);
    const mesh = meshInstrument(instrument, 0.6, 'full');
    const p = applyToPoints(drawingToFrame(instrument), mesh.positions, new Float64Array(mesh.positions.length));
    const { z0, slope } = profiles.boardLine;
    const nutX = -values.neckLength * Math.cos(Math.atan(slope));
    const bridge: Point[] = [];
    mesh.labels.forEach((label, i) => {
      if (label === PART.bridge && Math.abs(p[3 * i + 1]) < 4) bridge.push([p[3 * i], p[3 * i + 1], p[3 * i + 2]]);
    });
    const high = Math.max(...bridge.map((q) => q[2]));
    const edge = bridge.filter((q) => q[2] > high - 0.3).map((q) => q[0]);
    const x = (Math.min(...edge) + Math.max(...edge)) / 2;
    expect(Math.max(...edge) - Math.min(...edge)).toBeGreaterThan(1);
    expect(Math.abs(Math.hypot(x - nutX, high - z0 - slope * nutX) - secondary.stringLength)).toBeLessThan(0.1);
    expect(
      Math.abs(
        high -
          profiles.topCentre.reduce((a, b) => (Math.abs(b[0] - values.stop) < Math.abs(a[0] - values.stop) ? b : a))[1] -
          secondary.bridgeHeight,
      ),
    ).toBeLessThan(0.25);
  });
});
