import { join } from 'node:path';
import { keepOnlyFiles } from '../records/record-store.ts';
import { writeWhole } from '../records/write-whole.ts';
import { csvMetadata } from '../reports/csv-metadata.ts';
import { instrumentPage } from '../reports/instrument-page.ts';
import { measurementsCsv } from '../reports/measurements-csv.ts';
import type { SurveyData } from '../reports/survey-data.ts';
import { surveyPage } from '../reports/survey-page.ts';

/** Writes the report folder of a survey; each file is whole or not there, and the page that leads to all others comes last. */
export async function writeSurvey(out: string, survey: SurveyData): Promise<void> {
  const { records } = survey;
  const json = (value: unknown): string => `${JSON.stringify(value, undefined, 2)}\n`;
  await writeWhole(join(out, 'measurements.csv'), await measurementsCsv(records));
  await writeWhole(join(out, 'measurements.csv-metadata.json'), json(csvMetadata(records)));
  await writeWhole(join(out, 'measurements.json'), `[\n${records.map((record) => JSON.stringify(record)).join(',\n')}\n]\n`);
  for (const instrument of survey.instruments) {
    await writeWhole(join(out, 'instruments', `${instrument.slug}.html`), instrumentPage(instrument, survey));
  }
  await keepOnlyFiles(join(out, 'instruments'), new Set(survey.instruments.map(({ slug }) => `${slug}.html`)), '.html');
  await writeWhole(join(out, 'run.json'), json(survey.run));
  await writeWhole(join(out, 'index.html'), surveyPage(survey));
}
