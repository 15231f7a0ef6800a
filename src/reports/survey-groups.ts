import type { ScanRecord } from '../records/record.ts';
import type { SurveyData } from './survey-data.ts';

export interface SurveyScan {
  readonly record: ScanRecord;
  /** Of the instrument's page. */
  readonly href: string;
}

export interface SurveyGroup {
  /** Empty where the survey is not grouped. */
  readonly name: string;
  readonly scans: readonly SurveyScan[];
}

const NO_GROUP = 'not stated';

/** The scans of a survey by the column that it is grouped by; groups in the order in which they first appear. */
export function surveyGroups(survey: SurveyData): readonly SurveyGroup[] {
  const groups = new Map<string, SurveyScan[]>();
  for (const { slug, scans } of survey.instruments) {
    for (const { record } of scans) {
      const name = survey.groupBy === undefined ? '' : groupOf(record, survey.groupBy);
      const group = groups.get(name) ?? [];
      groups.set(name, group);
      group.push({ record, href: `instruments/${slug}.html` });
    }
  }
  return [...groups].map(([name, scans]) => ({ name, scans }));
}

function groupOf(record: ScanRecord, column: string): string {
  if (column === 'instrument') return record.instrument ?? NO_GROUP;
  if (column === 'date') return record.date ?? NO_GROUP;
  if (column === 'class') return ('class' in record ? record.class.value : record.settings.class) ?? NO_GROUP;
  return record.catalogue?.[column] ?? NO_GROUP;
}
