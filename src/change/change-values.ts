import { CHANGES, type ChangeId } from '../measurands/changes.ts';
import { MEASURANDS, type MeasureId } from '../measurands/measurands.ts';
import { beyondFacets } from '../measures/beyond-facets.ts';
import { bodyResidual, bodyWarnings } from './body-residual.ts';
import type { Change, ComparisonResult, VectorChange } from './change-result.ts';
import { changeWarnings } from './change-warnings.ts';
import type { ComparedPair, ScalarId } from './compared-pair.ts';
import { furtherOfChange, furtherOfDifference, furtherOfShift } from './further-u.ts';
import { correlation, covarianceOf, qualityOf, scalarChange, totalU } from './scalar-change.ts';
import { testChanges } from './significance.ts';

/** u beyond which a part of the pitch is no longer told from the other, degrees: as far as a change of such parts is of use, half a degree and more, a value so poor still says which of the two it was. */
const APART = 0.3;
/** u beyond which the block's turn is not shown, degrees. */
const BLOCK_SHOWN = 0.1;

/** All values of a compared pair with uncertainty, tests, reasons and warnings. */
export function changeValues(pair: ComparedPair): ComparisonResult {
  const absent = new Map<ChangeId, string>();
  const changes: Partial<Record<ScalarId, Change>> = {};
  for (const { id, unit } of CHANGES) {
    if (id === 'neckShift' || id === 'bodyResidual') continue;
    const change = scalarChange(pair, id, unit, furtherOfChange(pair, id, unit));
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

const AXES = ['x', 'y', 'z'];

function shiftOf(pair: ComparedPair): VectorChange | undefined {
  const parts = AXES.map((axis) => scalarChange(pair, `neckShift.${axis}`, 'mm', furtherOfShift(pair, axis)));
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
    ).map((v, k) => (k % 4 === 0 ? v + furtherOfShift(pair, AXES[k / 4] as string) ** 2 : v)),
  };
}

function differencesOf(pair: ComparedPair): Partial<Record<MeasureId, Change>> {
  const hidden = new Set([...beyondFacets(pair.baseline.noise.facets).keys(), ...beyondFacets(pair.later.noise.facets).keys()]);
  const differences: Partial<Record<MeasureId, Change>> = {};
  for (const { id, unit } of MEASURANDS) {
    if (hidden.has(id)) continue;
    const change = scalarChange(pair, `difference.${id}`, unit, furtherOfDifference(pair, id, unit));
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
