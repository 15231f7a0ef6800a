import { MEASURAND, type MeasureId } from '../measurands/measurands.ts';
import { isFailed, type MeasuredRecord } from '../records/record.ts';
import { CAUTION } from './cautions.ts';
import { glossary } from './glossary.ts';
import { HEADLINES } from './headlines.ts';
import { type Html, html } from './html.ts';
import { page, section } from './page.ts';
import { runFacts } from './run-facts.ts';
import { scanName } from './scan-name.ts';
import type { SurveyData } from './survey-data.ts';
import { surveyGroups } from './survey-groups.ts';
import { surveyStrips } from './survey-strips.ts';
import { surveyTable } from './survey-table.ts';

/** `index.html` of a survey. */
export function surveyPage(survey: SurveyData): string {
  const { scans } = survey.run;
  const groups = surveyGroups(survey);
  const shown: ReadonlySet<MeasureId> = new Set(HEADLINES);
  return page({
    title: survey.title,
    lead: html`${scans.asked - scans.failed} of ${scans.asked} scans measured, ${survey.instruments.length} instruments, ${survey.run.finishedAt.slice(0, 10)}. <a href="measurements.csv">Table as CSV</a>, <a href="measurements.json">records as JSON</a>.`,
    body: [
      section('survey', 'Survey', surveyTable(survey, groups)),
      section('distribution', 'Distribution', surveyStrips(survey, groups)),
      failures(survey),
      absences(survey),
      warnings(survey),
      section('glossary', 'What the measures mean', glossary(shown)),
      section('cautions', 'Cautions', html`<p>${CAUTION}</p>`),
      section('run', 'What ran', runFacts(survey.run)),
    ],
  });
}

function failures({ run }: SurveyData): Html | undefined {
  if (run.failures.length === 0) return undefined;
  return section(
    'failures',
    'Scans that could not be measured',
    html`<ul>
${run.failures.map(
  ({ scan, code, message }) => html`<li><strong>${scan}</strong>: ${message} <code>${code}</code></li>
`,
)}</ul>`,
  );
}

/** Headline measures that are absent, by instrument. */
function absences(survey: SurveyData): Html | undefined {
  const rows = measured(survey).flatMap(({ name, href, record }) => {
    const missing = record.absent.filter(({ measure }) => (HEADLINES as readonly MeasureId[]).includes(measure));
    return missing.length === 0
      ? []
      : [
          html`<li><a href="${href}">${name}</a>: ${missing.map(({ measure, reason }, i) => html`${i === 0 ? '' : '; '}${MEASURAND.get(measure)?.title}: ${reason}`)}</li>
`,
        ];
  });
  return rows.length === 0
    ? undefined
    : section(
        'absent',
        'What the scans do not show',
        html`<ul>
${rows}</ul>`,
      );
}

/** Each note once, with the scans that it is about. */
function warnings(survey: SurveyData): Html | undefined {
  const byNote = new Map<string, Html[]>();
  for (const { name, href, record } of measured(survey)) {
    for (const warning of record.warnings) byNote.set(warning, [...(byNote.get(warning) ?? []), html`<a href="${href}">${name}</a>`]);
  }
  if (byNote.size === 0) return undefined;
  return section(
    'warnings',
    'Notes on the scans',
    html`<ul>
${[...byNote].map(
  ([warning, names]) => html`<li>${warning}: ${names.map((name, i) => html`${i === 0 ? '' : ', '}${name}`)}</li>
`,
)}</ul>`,
  );
}

const measured = (survey: SurveyData): readonly { name: string; href: string; record: MeasuredRecord }[] =>
  survey.instruments.flatMap(({ slug, scans }) =>
    scans.flatMap(({ record }) => (isFailed(record) ? [] : [{ name: scanName(record), href: `instruments/${slug}.html`, record }])),
  );
