import { beforeAll, describe, expect, it } from 'vitest';
import { MM_PER } from '../../src/geometry/scan.ts';
import { random } from '../../src/numerics/random.ts';
import { buildInstrument, type ModelInstrument, randomSpec } from '../../src/samples/instrument.ts';
import { PART } from '../../src/samples/part.ts';
import { type ModelScan, scanInstrument } from '../../src/samples/scanner.ts';
import { SCAN_DEFAULTS, type ScanSettings } from '../../src/samples/scan-settings.ts';
import { drawingToFrame } from '../../src/samples/truth-frame.ts';

/** Coarse, so that the tests are quick. */
const COARSE: ScanSettings = { ...SCAN_DEFAULTS, spacing: 3.5, pose: 'drawing' };

const count = (scan: ModelScan, part: number) => scan.labels.reduce((n, l) => n + (l === part ? 1 : 0), 0);

/** Error along the normal of each point of a scan in drawing pose. */
function errorsOf(scan: ModelScan): Float64Array {
  return Float64Array.from(scan.labels, (_, i) =>
    [0, 1, 2].reduce((s, k) => s + (scan.positions[3 * i + k] - scan.clean[3 * i + k]) * scan.normals[3 * i + k], 0),
  );
}

describe('model scanner', () => {
  let violin: ModelInstrument;
  beforeAll(() => {
    violin = buildInstrument(randomSpec('violin', 'modern', random('scanner')));
  });
  const scan = (settings: Partial<ScanSettings>, key = 'a') => scanInstrument(violin, { ...COARSE, ...settings }, random(key));

  it('gives the same scan for the same stream and another for another', () => {
    const a = scan({ holes: { count: 4, radius: 8 }, outliers: { share: 1e-3, clusters: 2 } });
    const b = scan({ holes: { count: 4, radius: 8 }, outliers: { share: 1e-3, clusters: 2 } });
    expect(a.positions).toEqual(b.positions);
    expect(a.triangles).toEqual(b.triangles);
    expect(scan({}, 'b').positions).not.toEqual(scan({}, 'c').positions);
  });

  it('has white noise of the σ asked for', () => {
    const e = errorsOf(scan({ sigma: 0.08 }));
    const rms = Math.sqrt(e.reduce((s, v) => s + v * v, 0) / e.length);
    expect(rms).toBeGreaterThan(0.08 * 0.97);
    expect(rms).toBeLessThan(0.08 * 1.03);
  });

  it('has correlated error with covariance a² exp(−d²/L²)', () => {
    // A few looks are enough here.
    const draws = Array.from({ length: 24 }, (_, k) =>
      scan({ sigma: 0, spacing: 12, view: 'front', correlated: { amplitude: 0.05, length: 50, kernel: 'gaussian' } }, `draw ${k}`),
    );
    const errors = draws.map(errorsOf);
    const { clean } = draws[0];
    for (const distance of [0, 25, 50]) {
      let sum = 0;
      let n = 0;
      for (let i = 0; i < errors[0].length; i += 2) {
        for (let j = 0; j < errors[0].length; j += 2) {
          const d = Math.hypot(clean[3 * i] - clean[3 * j], clean[3 * i + 1] - clean[3 * j + 1], clean[3 * i + 2] - clean[3 * j + 2]);
          if (Math.abs(d - distance) > (distance === 0 ? 0.5 : 2)) continue;
          for (const e of errors) sum += e[i] * e[j];
          n += errors.length;
        }
      }
      const expected = 0.05 ** 2 * Math.exp(-((distance / 50) ** 2));
      // 24 draws over some ten independent patches each: a tenth (standard), so three tenths of a² are three times that.
      expect(Math.abs(sum / n - expected), `at ${distance} mm`).toBeLessThan(0.3 * 0.05 ** 2);
    }
  });

  it('sees only what a scanner can see', () => {
    const whole = scan({ fittings: 'fitted' });
    // The board's underside is glued on as far as the joint, and free beyond.
    let glued = 0;
    let free = 0;
    for (let i = 0; i < whole.labels.length; i++) {
      if (whole.labels[i] !== PART.boardUnderside) continue;
      if (whole.clean[3 * i] < -3) glued++;
      if (whole.clean[3 * i] > 60) free++;
    }
    expect(glued).toBeLessThan(0.05 * free + 3);
    expect(free).toBeGreaterThan(100);
    for (const part of [
      PART.top,
      PART.back,
      PART.ribs,
      PART.heel,
      PART.button,
      PART.scroll,
      PART.bridge,
      PART.strings,
      PART.chinRest,
      PART.pegs,
    ])
      expect(count(whole, part), `part ${part}`).toBeGreaterThan(20);
    expect(count(whole, PART.inner)).toBe(0);
  });

  it('leaves out what a partial view does not hold', () => {
    const front = scan({ view: 'front' });
    // Of the back and the button only what faces sideways or forwards.
    for (let i = 0; i < front.labels.length; i++) expect(front.normals[3 * i + 2]).toBeGreaterThan(-0.95);
    const outerBack = (s: ModelScan) => s.labels.reduce((n, l, i) => n + (l === PART.back && s.normals[3 * i + 2] < -0.98 ? 1 : 0), 0);
    expect(outerBack(front)).toBe(0);
    expect(outerBack(scan({}))).toBeGreaterThan(1000);
    expect(count(front, PART.top)).toBeGreaterThan(1000);
    const half = scan({ view: 'top-half' });
    const length = violin.spec.body.outline.length;
    for (let i = 0; i < half.labels.length; i++) expect(half.clean[3 * i]).toBeLessThanOrEqual(0.52 * length);
    expect(count(scan({ view: 'no-scroll' }), PART.scroll)).toBe(0);
    const table = scan({ stand: 'table' });
    expect(outerBack(table)).toBeLessThan(0.35 * outerBack(scan({})));
    expect(count(table, PART.stand)).toBeGreaterThan(500);
  });

  it('adds what real scans bring', () => {
    expect(count(scan({ inner: 'shown' }), PART.inner)).toBeGreaterThan(1000);
    expect(count(scan({ fittings: 'fitted', webbing: 5 }), PART.webbing)).toBeGreaterThan(20);
    expect(count(scan({ outliers: { share: 0.01, clusters: 3 } }), PART.stray)).toBeGreaterThan(100);
    expect(scan({ holes: { count: 6, radius: 15 } }).labels.length).toBeLessThan(scan({}).labels.length - 50);
    expect(scan({ shells: 'front-and-back' }).labels.length).toBeGreaterThan(1.1 * scan({}).labels.length);
    const thinned = scan({ spacing: 1.8, view: 'front', thinning: { kind: 'adaptive', cell: 6 } });
    const full = scan({ spacing: 1.8, view: 'front' });
    expect(thinned.labels.length).toBeLessThan(0.6 * full.labels.length);
    // The edge keeps its points where flat parts lose theirs.
    expect(count(thinned, PART.edge) / count(full, PART.edge)).toBeGreaterThan(2 * (count(thinned, PART.top) / count(full, PART.top)));
  });

  it.each(['mm', 'cm', 'm', 'in'] as const)('gives the frame of a scan in %s, wherever it lies', (unit) => {
    const s = scan({ unit, pose: 'far', sigma: 0 });
    const truth = drawingToFrame(violin);
    const f = s.frame;
    for (let i = 0; i < s.labels.length; i += 997) {
      for (let r = 0; r < 3; r++) {
        const found =
          f[4 * r] * s.positions[3 * i] + f[4 * r + 1] * s.positions[3 * i + 1] + f[4 * r + 2] * s.positions[3 * i + 2] + f[4 * r + 3];
        const known =
          truth[4 * r] * s.clean[3 * i] + truth[4 * r + 1] * s.clean[3 * i + 1] + truth[4 * r + 2] * s.clean[3 * i + 2] + truth[4 * r + 3];
        expect(Math.abs(found - known)).toBeLessThan(1e-6);
      }
    }
    expect(Math.hypot(f[0], f[1], f[2])).toBeCloseTo(MM_PER[unit], 9);
  });

  it('turns its facets outwards, also in a mirror', () => {
    for (const pose of ['random', 'mirrored'] as const) {
      const s = scan({ pose, sigma: 0 });
      const t = s.triangles as Uint32Array;
      const p = s.positions;
      // Volume by the divergence theorem: positive for outward facets.
      const c = [0, 1, 2].map((k) => p[k]);
      let volume = 0;
      for (let i = 0; i < t.length; i += 3) {
        const [a, b, d] = [0, 1, 2].map((k) => [0, 1, 2].map((m) => p[3 * t[i + k] + m] - c[m]));
        volume += (a[0] * (b[1] * d[2] - b[2] * d[1]) + a[1] * (b[2] * d[0] - b[0] * d[2]) + a[2] * (b[0] * d[1] - b[1] * d[0])) / 6;
      }
      expect(volume, pose).toBeGreaterThan(1e6);
    }
  });
});
