import type { ChangeId } from '../measurands/changes.ts';
import type { MeasureId } from '../measurands/measurands.ts';
import { choleskyInPlace, choleskySolve } from '../numerics/cholesky.ts';
import { holm } from '../numerics/holm.ts';
import { erfc, normalProbability, normalQuantile } from '../numerics/normal.ts';
import type { Change, TestedChange, TestedVectorChange, VectorChange } from './change-result.ts';

type ScalarId = Exclude<ChangeId, 'neckShift'>;

/** The one fixed family of tests of a pair. */
const HEADLINE_CHANGES: readonly ChangeId[] = ['neckPitch', 'neckYaw', 'neckRoll', 'neckShift', 'neckBend', 'heelRootRotation', 'heelBend'];
const HEADLINE_DIFFERENCES: readonly MeasureId[] = ['projection', 'overstand', 'boardOffset', 'neckAngle', 'scoopCentre', 'archHeight'];
const ALPHA = 0.05;
/** z of a two-sided 95 % test, and of finding a change in 95 of 100 cases. */
const Z = 1.96;
const Z_POWER = 1.645;

export interface Untested {
  readonly changes: Partial<Record<ScalarId, Change>> & { readonly neckShift?: VectorChange };
  readonly differences: Partial<Record<MeasureId, Change>>;
}

export interface TestedAll {
  readonly changes: Partial<Record<ScalarId, TestedChange>> & { readonly neckShift?: TestedVectorChange };
  readonly differences: Partial<Record<MeasureId, TestedChange>>;
}

/** Tests every change by itself and the headline changes together. */
export function testChanges({ changes, differences }: Untested): TestedAll {
  const { neckShift, ...scalars } = changes;
  const family: { id: string; p: number }[] = [];
  for (const id of HEADLINE_CHANGES) {
    if (id === 'neckShift') {
      if (neckShift !== undefined) family.push({ id, p: jointP(neckShift) });
    } else if (scalars[id] !== undefined) family.push({ id, p: aloneP(scalars[id]) });
  }
  for (const id of HEADLINE_DIFFERENCES) if (differences[id] !== undefined) family.push({ id: `d ${id}`, p: aloneP(differences[id]) });
  const rejected = new Map(
    holm(
      family.map((f) => f.p),
      ALPHA,
    ).map((r, k) => [family[k].id, r]),
  );
  // What the strictest step of the procedure asks of a change in the family; its own test otherwise.
  const strictest = family.length > 0 ? normalQuantile(1 - ALPHA / 2 / family.length) : Z;
  const tested = (c: Change, name: string): TestedChange => {
    const verdict = rejected.get(name);
    const z = verdict === undefined ? Z : strictest;
    return {
      ...c,
      ...(verdict === undefined ? {} : { significant: verdict }),
      significantAlone: aloneP(c) <= ALPHA,
      decision: Z * c.u,
      smallest: (z + Z_POWER) * c.u,
    };
  };
  const all: Record<string, TestedChange | TestedVectorChange> = {};
  for (const [id, c] of Object.entries(scalars)) all[id] = id === 'bodyResidual' ? c : tested(c, id);
  if (neckShift !== undefined) {
    all['neckShift'] = {
      ...neckShift,
      significant: rejected.get('neckShift') === true,
      significantAlone: jointP(neckShift) <= ALPHA,
      decision: neckShift.u.map((u) => Z * u),
      smallest: neckShift.u.map((u) => (strictest + Z_POWER) * u),
    };
  }
  return {
    changes: all as TestedAll['changes'],
    differences: Object.fromEntries(Object.entries(differences).map(([id, c]) => [id, tested(c, `d ${id}`)])),
  };
}

const aloneP = (c: Change): number => (c.u > 0 ? erfc(Math.abs(c.value) / c.u / Math.SQRT2) : c.value === 0 ? 1 : 0);

/** Chi-squared with three degrees of freedom of all three components together. */
function jointP(c: VectorChange): number {
  const factor = Float64Array.from(c.covariance);
  if (!(choleskyInPlace(factor, 3, 0) > 0)) return c.value.every((v) => v === 0) ? 1 : 0;
  const solved = choleskySolve(factor, 3, c.value);
  const square = c.value.reduce((s, v, k) => s + v * solved[k], 0);
  const root = Math.sqrt(square);
  return 2 * (1 - normalProbability(root)) + Math.sqrt((2 * square) / Math.PI) * Math.exp(-square / 2);
}
