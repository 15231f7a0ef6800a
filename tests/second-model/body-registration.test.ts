import { describe, expect, it } from 'vitest';
import { changedBody, fromFrame } from './body-change.ts';
import { registerBody } from './body-registration.ts';
import { NO_CHANGE } from './change.ts';
import { findFrame } from './frame.ts';
import { drawInstrument, makeScan, type ScanOptions } from './make-scan.ts';
import { labelCode } from './patch.ts';
import { Random } from './random.ts';
import { rotationVector } from './rigid.ts';

const OPTIONS: ScanOptions = { seed: 11, quality: 'clean', fittings: 'bare' };
const { instrument } = drawInstrument(OPTIONS, new Random(OPTIONS.seed));
const frame = findFrame(instrument.body, instrument.neck);
const later = changedBody(instrument.body, frame, { ...NO_CHANGE, arch: 0.3 }).body;
const { motion, residual } = registerBody(instrument.body, later, instrument.neck, frame, false);

describe('registration of a body that swelled', { timeout: 60_000 }, () => {
  it('is that of the triangles of a scan that sees all: same least squares from other points', () => {
    // a tomograph's mesh without noise; per triangle its normal, area and how far the later top lies along the normal there
    const scan = makeScan({ ...OPTIONS, view: 'inside', form: 'mesh', spacing: 3, sigma: 0 });
    const names = (['top', 'edge', 'rib', 'back', 'backEdge'] as const).map(labelCode);
    const rows: number[][] = [];
    const t = scan.triangles ?? new Uint32Array(0);
    const q = new Float64Array(3);
    for (let i = 0; i < t.length; i += 3) {
      const corners = [t[i], t[i + 1], t[i + 2]];
      if (!corners.every((c) => names.includes(scan.labels[c]))) continue;
      const [a, b, c] = corners.map((n) => scan.exact.subarray(n * 3, n * 3 + 3));
      const [u, v] = [b.map((w, n) => w - a[n]), c.map((w, n) => w - a[n])];
      const m = [u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0]];
      const area = Math.hypot(...(m as [number, number, number]));
      if (area < 1e-9) continue;
      const [nx, ny, nz] = m.map((w) => w / area);
      const p = [0, 1, 2].map((n) => (a[n] + b[n] + c[n]) / 3);
      fromFrame(frame, p[0], p[1], p[2], q);
      const d = instrument.body.distance(q[0], q[1]);
      const label = scan.labels[t[i]];
      const isTop = label === labelCode('top');
      // plate and edge overlap in a scan, and the undersides of the overhangs are neither top nor back
      const { edge } = instrument.body;
      if ((isTop || label === labelCode('back')) && d < 1.1 * edge) continue;
      if (label === labelCode('edge') && q[2] < instrument.body.underTop(q[0], q[1]) + 0.45 * edge) continue;
      if (label === labelCode('backEdge') && q[2] > instrument.body.overBack(q[0], q[1]) - 0.45 * edge) continue;
      const rise = isTop ? later.top(q[0], q[1], d) - instrument.body.top(q[0], q[1], d) : 0;
      rows.push([nx, ny, nz, p[1] * nz - p[2] * ny, p[2] * nx - p[0] * nz, p[0] * ny - p[1] * nx, rise * nz, area]);
    }
    // at the optimum the distances that are left do no work in any small motion
    const [roll, pitch, yaw] = rotationVector(motion);
    const x = [...motion.t, roll, pitch, yaw];
    const left = rows.map((r) => r[6] + x.reduce((s, w, i) => s + w * r[i], 0));
    const total = rows.reduce((s, r) => s + r[7], 0);
    const mean = (f: (i: number) => number): number => rows.reduce((s, r, i) => s + r[7] * f(i), 0) / total;
    for (let c = 0; c < 6; c++) {
      const work = mean((i) => left[i] * rows[i][c]) / Math.sqrt(mean((i) => rows[i][c] ** 2));
      expect(Math.abs(work), `component ${c}`).toBeLessThan(0.0015);
    }
    expect(Math.sqrt(mean((i) => left[i] ** 2))).toBeCloseTo(residual, 2);
  });
});
