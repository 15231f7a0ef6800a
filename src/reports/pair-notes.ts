import type { MeasuredComparison } from '../records/comparison-record.ts';
import { equilibriumMoisture, MAPLE_PER_PERCENT } from '../numerics/wood-moisture.ts';
import type { MeasuredRecord } from '../records/record.ts';
import { type Html, html } from './html.ts';

/** % RH from which on wood moves by what scans can show. */
const HUMIDITY_APART = 5;

/** What a reader of a pair must know: the notes of its record, and what the catalogue says of the two states. */
export function pairNotes(baseline: MeasuredRecord, pair: MeasuredComparison): readonly string[] {
  const [first, second] = [baseline.catalogue ?? {}, pair.catalogue ?? {}];
  const notes = [...pair.warnings];
  if (first['stringsOn'] !== undefined && second['stringsOn'] !== undefined && first['stringsOn'] !== second['stringsOn']) {
    notes.push('the strings were on in one scan and off in the other: their pull is part of what changed');
  }
  const humidity = [first['humidity'], second['humidity']].map((text) => (text === undefined ? Number.NaN : Number(text))) as [
    number,
    number,
  ];
  if (Math.abs(humidity[0] - humidity[1]) >= HUMIDITY_APART) {
    notes.push(
      `the air held ${humidity[0]} % RH in the baseline and ${humidity[1]} % RH later: ${woodMovement(humidity[0], humidity[1])}; part of what changed may come and go with the season`,
    );
  }
  if (Number.isNaN(humidity[0]) || Number.isNaN(humidity[1])) {
    notes.push('the humidity of both dates is not stated: a change may come and go with the season');
  }
  return notes;
}

/** Across the grain a neck's heel is about so deep, mm. */
const HEEL = 30;

/** What maple that has come to rest in both airs does. */
function woodMovement(first: number, second: number): string {
  const percent = equilibriumMoisture(second) - equilibriumMoisture(first);
  const mm = (share: number): string => (HEEL * Math.abs(percent) * share).toFixed(2);
  const { radial, tangential } = MAPLE_PER_PERCENT;
  return `maple that has come to rest in both ${percent > 0 ? 'swells' : 'shrinks'} by ${mm(radial)} to ${mm(tangential)} mm across every ${HEEL} mm of its grain`;
}

export const notesHtml = (notes: readonly string[]): Html | undefined =>
  notes.length === 0 ? undefined : html`<h3>Notes</h3><ul>${notes.map((note) => html`<li>${note}</li>`)}</ul>`;
