import { InputError } from '../../src/geometry/input-error.ts';
import { failedRecord, failureOf } from '../../src/records/failed-record.ts';
import { measuredRecord } from '../../src/records/measured-record.ts';
import type { FailedRecord, MeasuredRecord } from '../../src/records/record.ts';
import type { Subject } from '../../src/records/subject.ts';
import { modelResult } from './model-result.ts';

const AT = '2026-03-04T05:06:07.000Z';
const SHA = 'ab'.repeat(32);

/** The record of an invented violin. */
export const modelRecord = (subject: Partial<Subject> = {}, shift = 0): MeasuredRecord =>
  measuredRecord(
    { scan: 'scans/h-001.stl', sha256: SHA, instrument: 'h-001', date: '2026-01-01', settings: {}, ...subject },
    { format: 'stl-binary', storedPoints: 1200, storedTriangles: 400, warnings: [], dropped: { degenerateTriangles: 12 } },
    modelResult(shift),
    AT,
  );

export const modelFailure = (subject: Partial<Subject> = {}): FailedRecord =>
  failedRecord(
    { scan: 'scans/h-002.stl', instrument: 'h-002', settings: {}, ...subject },
    failureOf(new InputError('truncated', 'ends early')),
    AT,
  );
