import { compareScans } from '../../../src/change/compare-scans.ts';
import type { ComparisonResult } from '../../../src/change/change-result.ts';
import { parseScan } from '../../../src/formats/read-scan.ts';
import { InputError } from '../../../src/geometry/input-error.ts';
import { type OpenedScan, openScan } from '../../../src/measures/open-scan.ts';
import type { ModelledPairs, PairModel } from './pair-model.ts';
import type { PairEntry, PairJob } from './pair-plan.ts';
import type { PairResult } from './pair-result.ts';
import { scorePair, testsOf } from './score-pair.ts';

/** Makes a baseline and its later scans one by one, compares and scores them; nothing of the scans is kept. */
export async function compareJob(job: PairJob, model: PairModel): Promise<PairResult[]> {
  const made = model(job);
  const baseline = await opened(made.baseline()).catch(failureOf);
  const results: PairResult[] = [];
  for (const pair of job.pairs) results.push(await comparePair(pair, made, baseline));
  return results;
}

const opened = async (bytes: Uint8Array): Promise<OpenedScan> => openScan(await parseScan(bytes), {});

async function comparePair(pair: PairEntry, made: ModelledPairs, baseline: OpenedScan | Failure): Promise<PairResult> {
  const start = processorSeconds();
  const { bytes, truth } = made.later(pair);
  const ready = processorSeconds();
  const later = await opened(bytes).catch(failureOf);
  const open = processorSeconds();
  const result = 'code' in baseline ? baseline : 'code' in later ? later : compared(baseline, later);
  const done = processorSeconds();
  const known = truth('code' in baseline ? undefined : baseline.nominal.values.get('stop'));
  const { key, group, model, instrument, look } = pair;
  const common = {
    key,
    group,
    model,
    instrument,
    view: look.view,
    seconds: { make: ready - start, open: open - ready, compare: done - open },
  };
  if ('code' in result) return { ...common, failed: result, scores: scorePair(known, look, undefined), tests: [], warnings: [] };
  return {
    ...common,
    scores: scorePair(known, look, result),
    tests: testsOf(result),
    stopped: result.registration.stopped,
    warnings: result.warnings,
  };
}

interface Failure {
  readonly code: string;
  readonly message: string;
}

function compared(baseline: OpenedScan, later: OpenedScan): ComparisonResult | Failure {
  try {
    return compareScans(baseline, later);
  } catch (error) {
    return failureOf(error);
  }
}

/** A fault of the program is a result too, so that one pair does not end the study: it is counted and named. */
function failureOf(error: unknown): Failure {
  if (error instanceof InputError) return { code: error.code, message: error.message };
  return { code: 'fault', message: error instanceof Error ? (error.stack ?? error.message) : String(error) };
}

function processorSeconds(): number {
  const { user, system } = process.cpuUsage();
  return (user + system) / 1e6;
}
