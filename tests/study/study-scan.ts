import { parseScan } from '../../src/formats/read-scan.ts';
import { InputError } from '../../src/geometry/input-error.ts';
import type { Scan } from '../../src/geometry/scan.ts';
import { measureScan } from '../../src/measures/measure-scan.ts';
import type { MeasureResult } from '../../src/measures/result.ts';
import { frameError } from './frame-error.ts';
import type { PlanEntry } from './plan.ts';
import { scoreScan } from './score-scan.ts';
import type { StudyResult } from './study-result.ts';
import type { ModelledScan, StudyTruth } from './study-truth.ts';

/** Makes one scan, reads it from memory as a file would be read, measures and scores it; nothing of the scan is kept. */
export async function studyScan(entry: PlanEntry, model: (entry: PlanEntry) => ModelledScan): Promise<StudyResult> {
  const start = processorSeconds();
  const { bytes, truth } = model(entry);
  const made = processorSeconds();
  const scan = await parseScan(bytes);
  const read = processorSeconds();
  const outcome = measured(scan, entry);
  const done = processorSeconds();
  const result = 'frame' in outcome ? outcome : undefined;
  return {
    key: entry.key,
    group: entry.group,
    model: entry.model,
    points: scan.positions.length / 3,
    triangles: (scan.triangles?.length ?? 0) / 3,
    seconds: { make: made - start, read: read - made, measure: done - read },
    ...('failed' in outcome ? { failed: outcome.failed } : { frame: frameError(outcome.frame, truth.frame) }),
    bodyLength: truth.values.bodyLength,
    mistaken: result === undefined ? [] : mistakes(result, truth),
    ...otherStation(result?.station?.source, truth.stopSource),
    scores: scoreScan(truth, result),
  };
}

/** A fault of the program is a result too, so that one scan does not end the study: it is counted and named. */
function measured(scan: Scan, entry: PlanEntry): MeasureResult | { failed: { code: string; message: string } } {
  try {
    return measureScan(scan, entry.conditions.stated);
  } catch (error) {
    if (error instanceof InputError) return { failed: { code: error.code, message: error.message } };
    return { failed: { code: 'fault', message: error instanceof Error ? (error.stack ?? error.message) : String(error) } };
  }
}

function mistakes(result: MeasureResult, truth: StudyTruth): string[] {
  const wrong: string[] = [];
  if (result.class.value !== truth.class) wrong.push(`class ${result.class.value} instead of ${truth.class}`);
  if (result.unit.value !== truth.unit) wrong.push(`unit ${result.unit.value} instead of ${truth.unit}`);
  return wrong;
}

function otherStation(source: string | undefined, shown: string): { readonly otherStation?: string } {
  return source === undefined || source === shown ? {} : { otherStation: `${source} instead of ${shown}` };
}

function processorSeconds(): number {
  const { user, system } = process.cpuUsage();
  return (user + system) / 1e6;
}
