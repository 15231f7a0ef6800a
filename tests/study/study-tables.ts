import { absentTable } from './absent-table.ts';
import { type GroupFigures, groupFigures } from './group-figures.ts';
import { measurandTable } from './measurand-table.ts';
import { GROUPS, MODELS } from './plan.ts';
import type { ReportTable } from './report-table.ts';
import type { StudyResult } from './study-result.ts';
import { floorTable, groupTable, targetTable } from './target-tables.ts';
import { failureTable, worstTable } from './worst-tables.ts';

/** A group of one model's scans, or of both models', with its figures. */
export interface Part {
  readonly group: string;
  readonly model: string;
  readonly title: string;
  /** Which bounds of the coverage were promised. */
  readonly promise: 'both' | 'lower' | 'none';
  readonly figures: GroupFigures;
}

/** All tables of the report, from whatever results there are. */
export function studyTables(results: readonly StudyResult[]): ReportTable[] {
  const parts = partsOf(results);
  const together = pooled(results);
  return [
    targetTable(parts),
    groupTable([...parts, ...together]),
    floorTable(parts),
    worstTable(results),
    failureTable(results),
    absentTable(results),
    ...[...together, ...parts].map(({ title, figures }) => measurandTable(title, figures.measurands)),
  ].filter((t) => t.rows.length > 0);
}

function partsOf(results: readonly StudyResult[]): Part[] {
  return GROUPS.flatMap((group) =>
    MODELS.map((model) => {
      const own = results.filter((r) => r.group === group.name && r.model === model);
      return {
        group: group.name,
        model,
        promise: group.promise ?? ('both' as const),
        title: `${group.title}, model ${model.toUpperCase()}`,
        figures: groupFigures(own),
      };
    }),
  ).filter((p) => p.figures.scans > 0);
}

/** Scans whose long-wave error is neither stated nor such as is assumed stand apart. */
const APART: ReadonlySet<string> = new Set(GROUPS.filter((g) => g.promise !== undefined).map((g) => g.name));

function pooled(all: readonly StudyResult[]): Part[] {
  const results = all.filter((r) => !APART.has(r.group));
  const models = MODELS.map((model) => ({ model: model as string, own: results.filter((r) => r.model === model) }));
  return [...models, { model: 'both', own: [...results] }]
    .filter(({ own }) => own.length > 0)
    .map(({ model, own }) => ({
      group: 'all',
      model,
      promise: 'both' as const,
      title: model === 'both' ? 'All scans' : `All, model ${model.toUpperCase()}`,
      figures: groupFigures(own),
    }));
}
