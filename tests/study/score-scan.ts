import { MEASURANDS, type MeasureId } from '../../src/measurands/measurands.ts';
import type { MeasureResult } from '../../src/measures/result.ts';
import type { Score } from './study-result.ts';
import type { StudyTruth } from './study-truth.ts';

const RADIANS = Math.PI / 180;

/** Every measurand that has a truth, with what the record says of it. A scan that was refused has no result: all is absent. */
export function scoreScan(truth: StudyTruth, result: MeasureResult | undefined): Score[] {
  const reasons = new Map(result?.absent.map((a) => [a.measure, a.reason]));
  const scores: Score[] = [];
  for (const { id, group } of MEASURANDS) {
    const known = group === 'secondary' ? truth.secondary[id] : truth.values[id];
    if (known === undefined || !Number.isFinite(known)) continue;
    const value = atOwnStation(id, known, truth, result?.measures.stop?.value);
    if (!Number.isFinite(value)) continue;
    const supported = truth.measurable[id] ?? (group === 'secondary' ? undefined : true);
    const floor = truth.floor[id];
    const given = givenValue(id, result);
    scores.push({
      id,
      truth: value,
      uTruth: truth.uTruth[id] ?? 0,
      ...(supported === undefined ? {} : { supported }),
      ...(floor === undefined ? {} : { floor }),
      ...(given === undefined
        ? { absent: reasons.get(id) ?? (result === undefined ? 'the scan was refused' : 'no reason given') }
        : { given }),
    });
  }
  return scores;
}

function givenValue(id: MeasureId, result: MeasureResult | undefined): Score['given'] {
  const q = result?.measures[id];
  if (q === undefined || !Number.isFinite(q.value)) return undefined;
  const ends = q.low === undefined || q.high === undefined ? {} : { low: q.low, high: q.high };
  return { value: q.value, u: q.u, U95: q.U95, ...ends, quality: q.quality, basis: q.basis };
}

/** What hangs on the bridge station is judged where the record puts the station; how well it is placed is judged by `stop` itself. */
function atOwnStation(id: MeasureId, known: number, truth: StudyTruth, station: number | undefined): number {
  if (station === undefined) return known;
  const { boardLine, topCentre } = truth.profiles;
  if (id === 'projection') return boardLine.z0 + boardLine.slope * station - interpolated(topCentre, station);
  if (id === 'stopRatio') return truth.values.neckLength / station;
  if (id === 'boardOffset') return known + Math.tan(truth.values.boardYaw * RADIANS) * (station - truth.values.stop);
  return known;
}

/** NaN outside the table. */
function interpolated(table: readonly (readonly [number, number])[], x: number): number {
  for (let i = 0; i + 1 < table.length; i++) {
    const [x0, z0] = table[i];
    const [x1, z1] = table[i + 1];
    if (x0 <= x && x <= x1) return z0 + ((x - x0) / (x1 - x0)) * (z1 - z0);
  }
  return Number.NaN;
}
