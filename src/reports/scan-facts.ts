import { isFailed, type MeasuredRecord, type ScanRecord } from '../records/record.ts';
import { type Html, html } from './html.ts';
import { noiseWords } from './noise-words.ts';
import { BASIS_WORDS, STATION_WORDS } from './trade-words.ts';

/** What is known of the scan besides its measures: the file, how it was understood, and the catalogue's notes. */
export const scanFacts = (record: ScanRecord): Html => html`<dl class="facts">
<dt>File</dt><dd>${record.scan}${record.sha256 === undefined ? undefined : html` <code>sha256 ${record.sha256.slice(0, 12)}…</code>`}</dd>
${isFailed(record) ? undefined : understood(record)}${Object.entries(record.catalogue ?? {}).map(([name, value]) => fact(name, value))}</dl>`;

const fact = (name: string, value: string): Html => html`<dt>${name}</dt><dd>${value}</dd>
`;

function understood(record: MeasuredRecord): readonly Html[] {
  const { survey, station } = record;
  return [
    fact(
      'Format',
      `${record.format}, ${record.points.toLocaleString('en')} points${record.triangles > 0 ? `, ${record.triangles.toLocaleString('en')} triangles` : ''}`,
    ),
    fact('Unit', `${record.unit.value}, ${BASIS_WORDS[record.unit.basis]}`),
    fact('Class', `${record.class.value}, ${BASIS_WORDS[record.class.basis]}`),
    fact(
      'Bridge station',
      station === undefined ? 'not found' : `${station.x.toFixed(1)} mm from the joint, ${STATION_WORDS[station.source]}`,
    ),
    fact('Density', `a point every ${survey.spacing.toFixed(2)} mm`),
    fact('Noise', noiseWords(survey)),
    ...Object.entries(record.dropped).map(([what, count]) => fact('Left out', `${count.toLocaleString('en')} ${what}`)),
  ];
}
