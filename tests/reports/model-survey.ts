import { storedFigures } from '../../src/records/figures-file.ts';
import type { RunFile } from '../../src/records/run-file.ts';
import { SOFTWARE } from '../../src/records/software.ts';
import type { SurveyData } from '../../src/reports/survey-data.ts';
import { modelFailure, modelRecord } from '../records/model-record.ts';
import { modelResult } from '../records/model-result.ts';

const SHA = 'cd'.repeat(32);

const RUN: RunFile = {
  run: 1,
  kind: 'survey',
  title: 'A survey',
  pipeline: { file: 'p-survey.json', sha256: SHA, content: {} },
  catalogue: { file: 'catalogue.csv', sha256: SHA },
  software: SOFTWARE,
  node: '20.19.0',
  jobs: 2,
  startedAt: '2026-03-04T05:06:07.000Z',
  finishedAt: '2026-03-04T05:07:08.000Z',
  scans: { asked: 3, measured: 3, reused: 0, failed: 1 },
  inputs: [],
  failures: [{ scan: 'scans/h-002.stl', code: 'truncated', message: 'ends early' }],
};

/** Two invented violins that were measured and one that was not; `name` is what the first is called everywhere. */
export function modelSurvey(name = 'h-001'): SurveyData {
  const first = modelRecord({ instrument: name, scan: name, catalogue: { label: name, group: name, note: name } });
  const second = modelRecord({ instrument: 'h-003', catalogue: { group: 'Early' } }, 0.5);
  const failure = modelFailure();
  const figures = (scan: string, shift: number) => storedFigures(scan, modelResult(shift).figures);
  return {
    title: RUN.title,
    groupBy: 'group',
    limits: { overstand: { max: 6.2 } },
    intended: { projection: { min: 26, max: 27.5 } },
    records: [first, failure, second],
    instruments: [
      { instrument: name, slug: 'a', scans: [{ record: first, figures: figures(name, 0) }] },
      { instrument: 'h-002', slug: 'b', scans: [{ record: failure, figures: undefined }] },
      { instrument: 'h-003', slug: 'c', scans: [{ record: second, figures: figures('h-003', 0.5) }] },
    ],
    run: RUN,
  };
}
