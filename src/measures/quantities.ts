import { MEASURANDS, type MeasureId } from '../measurands/measurands.ts';
import type { Evaluation } from './evaluate-all.ts';
import type { InstrumentClass } from './family.ts';
import { definitionU } from './definition-u.ts';
import { qualityOf } from './quality.ts';
import type { Basis, BudgetEntry, Quantity, StationSource } from './result.ts';
import { type SourceSpread, spreadOf } from './uncertainty/repeat-measurement.ts';
import { SOURCE } from './uncertainty/sources.ts';

/** Ids whose value hangs on the station: its basis is theirs where it is only assumed. */
const AT_STATION: readonly MeasureId[] = ['projection', 'boardOffset', 'stop'];
/** Values that cannot be negative: their interval ends at zero. */
const NEVER_NEGATIVE: readonly MeasureId[] = ['edgeFlatnessRms', 'edgeFlatnessPV'];
/** Extremes and squares: noise of any kind raises them. Repetition shows by how much, and so much is deducted (bootstrap correction of bias). */
const RAISED_BY_NOISE: readonly MeasureId[] = ['edgeFlatnessRms', 'edgeFlatnessPV'];
/** Half-width of the 95 % interval of a normal distribution, in u. */
const COVERAGE_FACTOR = 1.96;

/** A source below this share of u changes it by less than its last digit, and is left out of the budget. */
const NEGLIGIBLE = 0.01;

export interface QuantityInputs {
  readonly nominal: Evaluation;
  readonly spreads: readonly SourceSpread[];
  readonly instrumentClass: InstrumentClass;
  readonly size: number;
  readonly spacing: number;
  readonly stationSource: StationSource;
  readonly scaleU: number;
  /** What the definition of a feature is uncertain by in this scan alone. */
  readonly blur: ReadonlyMap<MeasureId, number>;
  /** What halves of the samples that disagree add to a value's u, by id. */
  readonly faults?: ReadonlyMap<MeasureId, number>;
  /** Measures that the scan is too coarse for. */
  readonly hidden: ReadonlyMap<MeasureId, string>;
}

/** Values with their budgets: the sources' spreads, the definition's own sharpness on this surface, and scale. */
export function quantities(inputs: QuantityInputs): Partial<Record<MeasureId, Quantity>> {
  const measures: Partial<Record<MeasureId, Quantity>> = {};
  for (const { id, unit } of MEASURANDS) {
    const formed = inputs.nominal.values.get(id);
    if (formed === undefined || !Number.isFinite(formed) || inputs.hidden.has(id)) continue;
    const value = RAISED_BY_NOISE.includes(id) ? Math.max(0, formed - raisedBy(id, inputs.spreads)) : formed;
    const known = budgetOf(id, unit, value, inputs);
    if (known === undefined) continue;
    const fault = inputs.faults?.get(id);
    const budget = fault === undefined ? known : [...known, { source: SOURCE.halves, u: fault }];
    const u = Math.hypot(...budget.map((b) => b.u));
    const U95 = COVERAGE_FACTOR * u;
    const ends = NEVER_NEGATIVE.includes(id) && value - U95 < 0 ? { low: 0, high: value + U95 } : {};
    measures[id] = {
      value,
      unit,
      u,
      U95,
      ...ends,
      basis: basisOf(id, inputs.stationSource),
      quality: qualityOf(id, unit, U95, inputs.instrumentClass),
      budget,
    };
  }
  return measures;
}

function budgetOf(id: MeasureId, unit: string, value: number, inputs: QuantityInputs): BudgetEntry[] | undefined {
  const budget: BudgetEntry[] = [];
  for (const spread of inputs.spreads) {
    const deviations = spread.deviations.get(id);
    // A value that most repetitions could not form rests on chance.
    if (deviations === undefined) return undefined;
    budget.push({
      source: spread.source,
      u: RAISED_BY_NOISE.includes(id) ? spreadAboutBias(deviations) : spreadOf(deviations),
      ...(spread.assumed === true ? { assumed: true } : {}),
    });
  }
  const definition = Math.hypot(definitionU(id, inputs.size, inputs.spacing), inputs.blur.get(id) ?? 0);
  if (definition > 0) budget.push({ source: SOURCE.definition, u: definition });
  if (unit === 'mm' && inputs.scaleU > 0) budget.push({ source: SOURCE.scale, u: Math.abs(value) * inputs.scaleU });
  const least = NEGLIGIBLE * Math.hypot(...budget.map((b) => b.u));
  return budget.filter((b) => b.u > least);
}

function raisedBy(id: MeasureId, spreads: readonly SourceSpread[]): number {
  return spreads.reduce((sum, { deviations }) => sum + meanOf(deviations.get(id) ?? new Float64Array(1)), 0);
}

/** A bias that was deducted is itself known to about a half: the deviations start from values that carry one noise already. */
const BIAS_KNOWN = 0.5;

function spreadAboutBias(deviations: Float64Array): number {
  const bias = meanOf(deviations);
  return Math.hypot(spreadOf(deviations.map((d) => d - bias)), BIAS_KNOWN * bias);
}

const meanOf = (v: Float64Array): number => v.reduce((sum, d) => sum + d, 0) / v.length;

function basisOf(id: MeasureId, source: StationSource): Basis {
  if (!AT_STATION.includes(id)) return 'measured';
  if (source === 'assumed') return 'assumed';
  return id === 'stop' && (source === 'given' || source === 'catalogue') ? source : 'measured';
}
