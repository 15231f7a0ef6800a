import { MEASURAND, type MeasureId } from '../measurands/measurands.ts';
import type { InstrumentClass } from '../measures/family.ts';
import { isFailed } from '../records/record.ts';
import { HEADLINES } from './headlines.ts';
import { type Html, html } from './html.ts';
import { scanName } from './scan-name.ts';
import { type StripRow, stripChart } from './strip-chart.ts';
import type { SurveyData } from './survey-data.ts';
import type { SurveyGroup } from './survey-groups.ts';
import { UNIT_SIGN } from './trade-words.ts';

/** How each headline measure is spread over the survey, group by group; classes of instruments apart, since no axis suits two of them. */
export const surveyStrips = (survey: SurveyData, groups: readonly SurveyGroup[]): Html => {
  const classes = [...new Set(survey.records.flatMap((record) => (isFailed(record) ? [] : [record.class.value])))];
  return html`<p class="note">A dot is a scan, its bar the 95 % interval; hollow dots are of fair or poor quality. The upright stroke is the median of a group of three or more. A shaded band is the intended range, dashed lines are limits.</p>
${classes.map(
  (name) => html`${classes.length > 1 ? html`<h3 class="class">${CLASS_TITLE[name]}</h3>` : undefined}
<div class="strips">
${HEADLINES.map((id) => strip(survey, ofClass(groups, name), id))}</div>
`,
)}`;
};

const CLASS_TITLE: Readonly<Record<InstrumentClass, string>> = { violin: 'Violins', viola: 'Violas', cello: 'Cellos', bass: 'Basses' };

const ofClass = (groups: readonly SurveyGroup[], name: InstrumentClass): readonly SurveyGroup[] =>
  // A survey that is grouped by class needs no second name on its rows.
  groups.map((group) => ({
    name: group.name === name ? '' : group.name,
    scans: group.scans.filter(({ record }) => !isFailed(record) && record.class.value === name),
  }));

function strip(survey: SurveyData, groups: readonly SurveyGroup[], id: MeasureId): Html | undefined {
  const rows: StripRow[] = groups.flatMap(({ name, scans }) => {
    const values = scans.flatMap(({ record, href }) => {
      const quantity = isFailed(record) ? undefined : record.measures[id];
      return quantity === undefined ? [] : [{ name: scanName(record), href, quantity }];
    });
    return values.length === 0 ? [] : [{ name, values }];
  });
  const m = MEASURAND.get(id);
  if (rows.length === 0 || m === undefined) return undefined;
  return html`<figure><h3>${m.title}${UNIT_SIGN[m.unit] === '' ? '' : `, ${UNIT_SIGN[m.unit]}`}</h3>
${stripChart(m.title, rows, survey.limits[id], survey.intended[id])}</figure>
`;
}
