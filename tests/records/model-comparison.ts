import type { ComparisonResult } from '../../src/change/change-result.ts';
import { testChanges } from '../../src/change/significance.ts';
import type { MeasureId } from '../../src/measurands/measurands.ts';
import { type ComparisonRecord, comparisonRecord, type MeasuredComparison } from '../../src/records/comparison-record.ts';
import type { Subject } from '../../src/records/subject.ts';
import { modelFailure, modelRecord } from './model-record.ts';

/** How far an invented neck sank: all values follow from it. */
export interface ModelChange {
  /** mm. */
  readonly projection: number;
  /** Of the difference of projection, mm; of the baseline's share in it. */
  readonly u?: number;
}

const change = (value: number, unit: 'mm' | 'deg', u: number) => ({
  value,
  unit,
  u,
  U95: 1.96 * u,
  basis: 'measured' as const,
  quality: 'good' as const,
  budget: [
    { source: 'noise, baseline scan', u: u / Math.SQRT2 },
    { source: 'noise, later scan', u: u / Math.SQRT2 },
  ],
  uBaseline: u / Math.SQRT2,
});

/** mm of projection for each degree of pitch on a violin. */
const MM_A_DEGREE = 3.4;

function modelResult({ projection, u = 0.05 }: ModelChange): ComparisonResult {
  const pitch = -projection / MM_A_DEGREE;
  const tested = testChanges({
    changes: {
      neckPitch: change(pitch, 'deg', u / MM_A_DEGREE),
      neckYaw: change(0.004, 'deg', 0.01),
      projectionByNeck: change(projection, 'mm', u),
      projectionByBoard: change(0, 'mm', u / 2),
      projectionByArch: change(0, 'mm', u / 2),
      bodyResidual: { ...change(0.02, 'mm', 0.01), low: 0, high: 0.04 },
      neckShift: {
        value: [0.01, -0.02, projection / 10],
        unit: 'mm',
        u: [0.03, 0.02, 0.02],
        U95: [0.0588, 0.0392, 0.0392],
        basis: 'measured',
        quality: 'good',
        budget: [
          { source: 'noise, later scan', u: [0.03, 0.02, 0.02] },
          { source: 'long-wave error, later scan', u: [0.001, 0.001, 0.001], assumed: true },
        ],
        uBaseline: [0.02, 0.014, 0.014],
        covariance: [0.0009, 0, 0, 0, 0.0004, 0, 0, 0, 0.0004],
      },
    },
    differences: {
      projection: change(projection, 'mm', u),
      neckAngle: change(-pitch, 'deg', u / MM_A_DEGREE),
      overstand: change(projection / 10, 'mm', 0.03),
      boardWidthEnd: change(0.01, 'mm', 0.05),
    } satisfies Partial<Record<MeasureId, unknown>>,
  });
  return {
    ...tested,
    absent: [{ measure: 'heelBend', reason: 'the heel is not seen in the baseline' }],
    registration: {
      motion: [1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1],
      covariance: new Array<number>(36).fill(0),
      rms: 0.031,
      overlap: 0.97,
      stopped: 'settled',
      scale: { value: 1e-5, u: 2e-5 },
      longWave: { amplitude: 0.02, length: 48 },
    },
    warnings: ['the board looks as it did'],
  };
}

/** The record of an invented violin held against an earlier scan of it. */
export const modelComparison = (model: ModelChange, subject: Partial<Subject> = {}, baseline = 'scans/h-001.stl'): MeasuredComparison =>
  comparisonRecord(modelRecord(subject, 0), baseline, modelResult(model));

export const modelFailedComparison = (subject: Partial<Subject> = {}, baseline = 'scans/h-001.stl'): ComparisonRecord => ({
  ...modelFailure(subject),
  baseline,
});
