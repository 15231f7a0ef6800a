import { join } from 'node:path';
import type { ComparisonRecord } from '../records/comparison-record.ts';
import { hashFile } from '../records/hash-file.ts';
import type { ScanRecord } from '../records/record.ts';
import type { RunFile } from '../records/run-file.ts';
import { SOFTWARE } from '../records/software.ts';
import type { LoadedPipeline } from './read-pipeline.ts';

/** What became of one scan of a run. */
export interface RunOutcome {
  readonly slug: string;
  readonly record: ScanRecord | ComparisonRecord;
  readonly reused: boolean;
}

/** `run.json` of a run that is done. */
export async function runFile(
  loaded: LoadedPipeline,
  options: { readonly jobs: number; readonly now: () => Date },
  startedAt: string,
  outcomes: readonly RunOutcome[],
): Promise<RunFile> {
  const failures = outcomes.flatMap(({ record }) => ('failed' in record ? [{ scan: record.scan, ...record.failed }] : []));
  const reused = outcomes.filter((o) => o.reused).length;
  return {
    run: 1,
    kind: loaded.pipeline.kind,
    title: loaded.pipeline.title,
    pipeline: { file: loaded.file, sha256: await hashFile(loaded.file), content: loaded.pipeline },
    catalogue: { file: loaded.pipeline.catalogue, sha256: await hashFile(loaded.catalogue.file) },
    software: SOFTWARE,
    node: process.versions.node,
    jobs: options.jobs,
    startedAt,
    finishedAt: options.now().toISOString(),
    scans: { asked: outcomes.length, measured: outcomes.length - reused, reused, failed: failures.length },
    inputs: outcomes.map(({ slug, record, reused: before }) => ({
      scan: record.scan,
      sha256: record.sha256 ?? null,
      record: join('records', `${slug}.json`),
      reused: before,
    })),
    failures,
  };
}
