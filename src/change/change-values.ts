import { CHANGES, type ChangeId } from '../measurands/changes.ts';
import { MEASURANDS, type MeasureId } from '../measurands/measurands.ts';
import { definitionU } from '../measures/definition-u.ts';
import type { InstrumentClass } from '../measures/family.ts';
import { tailDoubt } from '../frame/tail-doubt.ts';
import type { OpenedScan } from '../measures/open-scan.ts';
import type { Quality } from '../measures/result.ts';
import { beyondFacets } from '../measures/beyond-facets.ts';
import { spreadOf } from '../measures/uncertainty/repeat-measurement.ts';
import { bodyResidual, bodyWarnings } from './body-residual.ts';
import { modelChoiceU, warpInBoardU } from './model-choice.ts';
import type { Change, ComparisonResult, Entry, VectorChange } from './change-result.ts';
import type { CompareOptions, FollowedNeck } from './compare-scans.ts';
import type { PairModel, PairValues } from './pair-model.ts';
import type { PairNoise, PairSpread } from './pair-spreads.ts';
import type { PlacedBodies } from './place-bodies.ts';
import { testChanges } from './significance.ts';
import { changeWarnings } from './change-warnings.ts';

export interface ComparedPair {
  readonly placed: PlacedBodies;
  readonly found: FollowedNeck;
  readonly model: PairModel;
  readonly nominal: PairValues;
  readonly spreads: readonly PairSpread[];
  /** What either scan contradicts in itself. */
  readonly faults: readonly [baseline: ReadonlyMap<MeasureId, number>, later: ReadonlyMap<MeasureId, number>];
  readonly noise: PairNoise;
  readonly options: CompareOptions;
  readonly baseline: OpenedScan;
  readonly later: OpenedScan;
}

type ScalarId = Exclude<ChangeId, 'neckShift'>;
const DEGREES = 180 / Math.PI;
/** Half-width of the 95 % interval in u. */
const COVERAGE_FACTOR = 1.96;
/** Half-widths up to which a change is good and fair, degrees or mm on a violin: what the smallest changes of practical use, a few tenths, need. */
const GOOD = 0.1;
const FAIR = 0.3;
const LENGTH_FACTOR: Readonly<Record<InstrumentClass, number>> = { violin: 1, viola: 1.15, cello: 2, bass: 3 };
/** Share of a feature's own bluntness that two scans of it do not have in common. */
const NOT_COMMON = 0.5;
/** u beyond which a part of the pitch is no longer told from the other, degrees. */
const APART = 0.3;
/** u beyond which the block's turn is not shown, degrees. */
const BLOCK_SHOWN = 0.1;
/**
 * What a warp leaves open, standard, degrees or mm per mm of it on a violin. The throat passes its curve on to the heel in a way that the heel's own scan does not tell from a bend; the
 * neck's sections turn with its curve, which the fit leaves out; and the chord's turn goes into what moved the board line at the bridge. From pairs of both models with warps of 0.2 to 0.9 mm.
 */
const WARP_LEAVES: Partial<Record<ScalarId, number>> = {
  heelBend: 0.25,
  heelRootRotation: 0.15,
  neckPitch: 0.012,
  neckBend: 0.008,
  projectionByNeck: 0.05,
  projectionByBoard: 0.05,
};

/** All values of a compared pair with uncertainty, tests, reasons and warnings. */
export function changeValues(pair: ComparedPair): ComparisonResult {
  const absent = new Map<ChangeId, string>();
  const changes: Partial<Record<ScalarId, Change>> = {};
  for (const { id, unit } of CHANGES) {
    if (id === 'neckShift' || id === 'bodyResidual') continue;
    const change = scalarChange(pair, id, unit, furtherOf(pair, id));
    if (change === undefined) absent.set(id, reasonFor(pair, id));
    else changes[id] = change;
  }
  dropInseparable(changes, absent);
  const neckShift = shiftOf(pair);
  if (neckShift === undefined) absent.set('neckShift', reasonFor(pair, 'neckShift'));
  const residual = bodyResidual(pair);
  const differences = differencesOf(pair);
  const tested = testChanges({
    changes: { ...changes, bodyResidual: residual, ...(neckShift === undefined ? {} : { neckShift }) },
    differences,
  });
  const { registration } = pair.placed;
  const { field } = pair.noise;
  const scale = { value: pair.nominal.get('scale') as number, u: totalU(pair, 'scale') as number };
  return {
    ...tested,
    absent: CHANGES.flatMap(({ id }) => {
      const reason = absent.get(id);
      return reason === undefined ? [] : [{ measure: id, reason }];
    }),
    ...(tested.changes.heelBend === undefined ? {} : { rootBendCorrelation: correlation(pair, 'heelRootRotation', 'heelBend') }),
    registration: {
      motion: [...registration.motion, 0, 0, 0, 1],
      covariance: covarianceOf(
        pair,
        [0, 1, 2, 3, 4, 5].map((k) => `registration.${k}`),
      ),
      rms: registration.rms,
      overlap: registration.overlap,
      stopped: registration.stopped,
      scale,
      ...(field === undefined ? {} : { longWave: { amplitude: field.amplitude, length: field.length } }),
    },
    warnings: [...bodyWarnings(pair), ...changeWarnings(pair, tested, scale)],
  };
}

/** u of a change that no repetition shows. */
function furtherOf(pair: ComparedPair, id: ScalarId): number {
  const twist = id === 'neckRoll' ? (pair.found.head?.uRoll ?? 0) * DEGREES : 0;
  const board = id === 'projectionByBoard' ? Math.hypot(faultOf(pair, 'projection'), warpInBoardU('projection', warpOf(pair))) : 0;
  return Math.hypot(twist, board, (WARP_LEAVES[id] ?? 0) * warpOf(pair));
}

/** Deviations of all sources, or undefined where a source could not form the value. */
function rowsOf(pair: ComparedPair, name: string): readonly { readonly spread: PairSpread; readonly row: Float64Array }[] | undefined {
  const rows = pair.spreads.flatMap((spread) => {
    const row = spread.deviations.get(name);
    return row === undefined ? [] : [{ spread, row }];
  });
  return rows.length === pair.spreads.length ? rows : undefined;
}

function totalU(pair: ComparedPair, name: string): number | undefined {
  const rows = rowsOf(pair, name);
  return rows === undefined ? undefined : Math.hypot(...rows.map(({ row }) => spreadOf(row)));
}

/** @param common  further u that belongs to neither scan's errors alone */
function scalarChange(pair: ComparedPair, name: string, unit: Change['unit'], further: number): Change | undefined {
  const value = pair.nominal.get(name);
  const rows = rowsOf(pair, name);
  if (value === undefined || !Number.isFinite(value) || rows === undefined) return undefined;
  const budget = rows.map(({ spread: { source, side, assumed }, row }) => ({
    side,
    entry: { source: `${source}, ${side} scan`, u: spreadOf(row), ...(assumed === undefined ? {} : { assumed }) },
  }));
  const uBaseline = Math.hypot(...budget.filter((b) => b.side === 'baseline').map((b) => b.entry.u), further / Math.SQRT2);
  const all: Entry<number>[] = budget.map((b) => b.entry);
  if (further > 0) all.push({ source: 'feature definition', u: further });
  const u = Math.hypot(...all.map((b) => b.u));
  const U95 = COVERAGE_FACTOR * u;
  return { value, unit, u, U95, basis: 'measured', quality: qualityOf(U95, unit, pair), budget: all.filter((b) => b.u > 0), uBaseline };
}

function qualityOf(halfWidth: number, unit: Change['unit'], pair: ComparedPair): Quality {
  const good = GOOD * (unit === 'mm' ? LENGTH_FACTOR[pair.baseline.work.instrumentClass] : 1);
  return halfWidth <= good ? 'good' : halfWidth <= FAIR * (good / GOOD) ? 'fair' : 'poor';
}

const AXES = ['x', 'y', 'z'];

function shiftOf(pair: ComparedPair): VectorChange | undefined {
  const ofHead = pair.found.head?.uX ?? 0;
  const parts = AXES.map((axis) => scalarChange(pair, `neckShift.${axis}`, 'mm', axis === 'x' ? ofHead : 0));
  if (parts.some((p) => p === undefined)) return undefined;
  const all = parts as Change[];
  const sources = new Map(all.flatMap(({ budget }) => budget.map(({ u, ...entry }) => [entry.source, entry] as const)));
  return {
    value: all.map((c) => c.value),
    unit: 'mm',
    u: all.map((c) => c.u),
    U95: all.map((c) => c.U95),
    basis: 'measured',
    quality: qualityOf(Math.max(all[1].U95, all[2].U95), 'mm', pair),
    budget: [...sources.values()].map((entry) => ({
      ...entry,
      u: all.map((c) => c.budget.find((b) => b.source === entry.source)?.u ?? 0),
    })),
    uBaseline: all.map((c) => c.uBaseline),
    covariance: covarianceOf(
      pair,
      AXES.map((axis) => `neckShift.${axis}`),
    ).map((v, k) => (k === 0 ? v + ofHead ** 2 : v)),
  };
}

/** n × n row-major, from the deviations of all sources. */
function covarianceOf(pair: ComparedPair, names: readonly string[]): number[] {
  const out = new Array<number>(names.length ** 2).fill(0);
  for (const { deviations } of pair.spreads) {
    const rows = names.map((name) => deviations.get(name));
    for (const [i, a] of rows.entries()) {
      for (const [j, b] of rows.entries()) {
        if (a === undefined || b === undefined || a.length !== b.length) continue;
        out[i * names.length + j] += a.reduce((s, v, k) => s + v * b[k], 0) / a.length;
      }
    }
  }
  return out;
}

function correlation(pair: ComparedPair, a: string, b: string): number {
  const [aa, ab, , bb] = covarianceOf(pair, [a, b]);
  return ab / Math.sqrt(aa * bb);
}

/** Warp of the neck beyond what the scans leave open of it, mm on a violin. */
function warpOf(pair: ComparedPair): number {
  const warp = Math.abs(pair.nominal.get('neckBend') ?? 0);
  return Math.max(0, warp - COVERAGE_FACTOR * (totalU(pair, 'neckBend') ?? 0)) / pair.baseline.work.size;
}

const faultOf = ({ faults }: ComparedPair, id: MeasureId): number => Math.hypot(...faults.map((f) => f.get(id) ?? 0));

function differencesOf(pair: ComparedPair): Partial<Record<MeasureId, Change>> {
  const { baseline, later, options } = pair;
  const { size } = baseline.work;
  const spacing = Math.max(baseline.work.spacing, later.work.spacing, baseline.noise.facets, later.noise.facets);
  const hidden = new Set([...beyondFacets(baseline.noise.facets).keys(), ...beyondFacets(later.noise.facets).keys()]);
  const [ub, ul] = options.scaleU ?? [0, 0];
  const scaleU = options.scanners === 'same' ? 0 : Math.hypot(ub, ul);
  const warp = warpOf(pair);
  // Saddle, tailgut and chin rest of either scan hide another part of the edge.
  const tails = Math.hypot(...[baseline, later].map((o) => tailDoubt(o.datums.samples.besideSaddle, o.work.bodyLength)));
  const sections = [baseline, later].map((o) => o.gathered.plan.board.section);
  const differences: Partial<Record<MeasureId, Change>> = {};
  for (const { id, unit } of MEASURANDS) {
    if (hidden.has(id)) continue;
    const blur = Math.hypot(baseline.gathered.blur.get(id) ?? 0, later.gathered.blur.get(id) ?? 0);
    const length = unit === 'mm' ? Math.abs(baseline.nominal.values.get(id) ?? 0) * scaleU : 0;
    const further = Math.hypot(
      NOT_COMMON * definitionU(id, size, spacing),
      NOT_COMMON * blur,
      modelChoiceU(id, size, sections),
      length,
      faultOf(pair, id),
      warpInBoardU(id, warp),
      id === 'bodyLength' ? tails : 0,
    );
    const change = scalarChange(pair, `difference.${id}`, unit, further);
    if (change !== undefined) differences[id] = change;
  }
  return differences;
}

/** Root and bend that the heel's scan cannot tell apart are not given: only their sum, the pitch, is. */
function dropInseparable(changes: Partial<Record<ScalarId, Change>>, absent: Map<ChangeId, string>): void {
  const { heelRootRotation: root, heelBend: bend, blockRotation: block } = changes;
  if (root !== undefined && bend !== undefined && Math.max(root.u, bend.u) > APART) {
    for (const id of ['heelRootRotation', 'heelBend'] as const) {
      delete changes[id];
      absent.set(id, 'the scans of the heel cannot tell turn at the root and bend of the heel apart; their sum is the neck pitch');
    }
  }
  if (block !== undefined && block.u > BLOCK_SHOWN) {
    delete changes.blockRotation;
    absent.set('blockRotation', 'too little of the ribs and of the back beside the upper block is seen to tell its turn');
  }
}

function reasonFor(pair: ComparedPair, id: ChangeId): string {
  const { found } = pair;
  if (id === 'blockRotation') return 'the ribs beside the upper block are not seen in both scans';
  if (id === 'heelRootRotation' || id === 'heelBend') return typeof found.heelFit === 'string' ? found.heelFit : UNSTEADY;
  if (typeof found.neck === 'string') return found.neck;
  if (id.startsWith('projection')) return 'projection is not measured in both scans';
  return UNSTEADY;
}
const UNSTEADY = 'what the scans show of it comes and goes with their noise';
