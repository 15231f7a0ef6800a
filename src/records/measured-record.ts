import type { Scan } from '../geometry/scan.ts';
import { MEASURANDS, type MeasureId } from '../measurands/measurands.ts';
import type { MeasureResult, Quantity } from '../measures/result.ts';
import { type Subject, subjectKeys } from './subject.ts';
import type { MeasuredRecord } from './record.ts';
import { SOFTWARE } from './software.ts';

/** The record of a measured scan, its keys always in the same order so that equal content means equal bytes. */
export function measuredRecord(
  subject: Subject,
  scan: Pick<Scan, 'format' | 'storedPoints' | 'storedTriangles' | 'warnings' | 'dropped'>,
  result: MeasureResult,
  measuredAt: string,
): MeasuredRecord {
  return {
    ...subjectKeys(subject),
    format: scan.format,
    points: scan.storedPoints,
    triangles: scan.storedTriangles,
    unit: { value: result.unit.value, basis: result.unit.basis },
    class: { value: result.class.value, basis: result.class.basis },
    ...(result.station === undefined ? {} : { station: { x: result.station.x, source: result.station.source } }),
    frame: [...result.frame],
    measures: inTableOrder(result.measures),
    absent: [...result.absent].sort((a, b) => tablePlace(a.measure) - tablePlace(b.measure)),
    warnings: [...scan.warnings, ...result.warnings],
    survey: result.survey,
    dropped: inWordOrder(scan.dropped),
    settings: subject.settings,
    software: SOFTWARE,
    measuredAt,
  };
}

const PLACE: ReadonlyMap<string, number> = new Map(MEASURANDS.map((m, i) => [m.id, i]));
const tablePlace = (id: MeasureId): number => PLACE.get(id) ?? MEASURANDS.length;

function inTableOrder(measures: MeasureResult['measures']): Partial<Record<MeasureId, Quantity>> {
  const ordered: Partial<Record<MeasureId, Quantity>> = {};
  for (const { id } of MEASURANDS) {
    const quantity = measures[id];
    if (quantity !== undefined) ordered[id] = quantityKeys(quantity);
  }
  return ordered;
}

function quantityKeys(q: Quantity): Quantity {
  return {
    value: q.value,
    unit: q.unit,
    u: q.u,
    U95: q.U95,
    ...(q.low === undefined ? {} : { low: q.low }),
    ...(q.high === undefined ? {} : { high: q.high }),
    basis: q.basis,
    quality: q.quality,
    budget: q.budget.map(({ source, u, assumed }) => ({ source, u, ...(assumed === undefined ? {} : { assumed }) })),
  };
}

const inWordOrder = (counts: Readonly<Record<string, number>>): Record<string, number> =>
  Object.fromEntries(Object.entries(counts).sort(([a], [b]) => (a < b ? -1 : 1)));
