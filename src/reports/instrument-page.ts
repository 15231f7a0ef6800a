import { MEASURANDS, type MeasureId } from '../measurands/measurands.ts';
import type { StoredFigures } from '../records/figures-file.ts';
import { isFailed, type MeasuredRecord, type ScanRecord } from '../records/record.ts';
import { CAUTION } from './cautions.ts';
import { glossary } from './glossary.ts';
import { type Html, html } from './html.ts';
import { measureTable } from './measure-table.ts';
import { page, section } from './page.ts';
import { planView } from './plan-view.ts';
import { instrumentName } from './scan-name.ts';
import { scanFacts } from './scan-facts.ts';
import { sideSection } from './side-section.ts';
import type { InstrumentScans, SurveyData } from './survey-data.ts';

/** The page of one instrument: its scans, each with drawings, measures and where their uncertainty comes from. */
export function instrumentPage({ instrument, scans }: InstrumentScans, survey: SurveyData): string {
  const first = scans[0]?.record;
  const shown: ReadonlySet<MeasureId> = new Set(
    MEASURANDS.map(({ id }) => id).filter((id) => scans.some(({ record }) => !isFailed(record) && record.measures[id] !== undefined)),
  );
  return page({
    title: first === undefined ? instrument : instrumentName(first),
    above: html`<p class="note"><a href="../index.html">${survey.title}</a></p>`,
    lead:
      scans.length === 1
        ? 'One scan.'
        : `${scans.length} scans, the earliest first. Each stands for itself here: two rows are not a measured change.`,
    body: [
      ...scans.map(({ record, figures }, i) => scanSection(record, figures, i, survey)),
      shown.size === 0 ? undefined : section('glossary', 'What the measures mean', glossary(shown)),
      section('cautions', 'Cautions', html`<p>${CAUTION}</p>`),
    ],
  });
}

function scanSection(record: ScanRecord, figures: StoredFigures | undefined, index: number, survey: SurveyData): Html {
  const title = record.date === undefined ? `Scan ${record.scan}` : `Scan of ${record.date}`;
  if (isFailed(record)) {
    return section(
      `scan-${index + 1}`,
      title,
      html`<p class="failed">This scan could not be measured: ${record.failed.message} <code>${record.failed.code}</code></p>${scanFacts(record)}`,
    );
  }
  return section(`scan-${index + 1}`, title, [
    figures === undefined ? undefined : drawings(record, figures),
    warnings(record),
    measureTable(record, survey),
    html`<h3>The scan</h3>`,
    scanFacts(record),
  ]);
}

function drawings(record: MeasuredRecord, figures: StoredFigures): Html {
  return html`${figure(sideSection(record, figures), 'Section on the centreline, true to scale; nut to the left. Points of the scan in grey; the board line rests on the board and is produced, dashed, to the bridge station.')}
${figure(planView(record, figures), 'From the front, true to scale; treble side up. The board is drawn by its widths, with its own centreline produced, dashed, to the bridge station.')}`;
}

const figure = (drawing: Html | undefined, caption: string): Html | undefined =>
  drawing === undefined
    ? undefined
    : html`<figure><div class="wide" tabindex="0" role="region" aria-label="Drawing">${drawing}</div><figcaption>${caption}</figcaption></figure>`;

const warnings = (record: MeasuredRecord): Html | undefined =>
  record.warnings.length === 0 ? undefined : html`<h3>Notes</h3><ul>${record.warnings.map((warning) => html`<li>${warning}</li>`)}</ul>`;
