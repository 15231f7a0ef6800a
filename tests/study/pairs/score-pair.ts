import type { ComparisonResult, TestedChange, TestedVectorChange } from '../../../src/change/change-result.ts';
import type { Score } from '../study-result.ts';
import type { PairTruth } from './pair-model.ts';
import type { PairLook } from './pair-plan.ts';
import type { PairTest } from './pair-result.ts';

/** What the evaluation of the models' truth leaves open, mm and degrees. */
const U_TRUTH = 0.001;
const AXES = ['x', 'y', 'z'] as const;
/** Changes that every pair shows whose later scan is taken from all sides. */
const ALWAYS: ReadonlySet<string> = new Set([
  'neckPitch',
  'neckYaw',
  'neckRoll',
  'neckShift.x',
  'neckShift.y',
  'neckShift.z',
  'neckBend',
  'heelRootRotation',
  'heelBend',
  'blockRotation',
  'projectionByNeck',
  'projectionByBoard',
  'projectionByArch',
  'bodyResidual',
  'd projection',
  'd neckAngle',
  'd overstand',
  'd boardOffset',
  'd scoopCentre',
]);
/** A change is supported where plain fits to the known parts err by less, mm and degrees. */
const SUPPORTED = { mm: 0.5, degrees: 0.3 };
const DEGREES: ReadonlySet<string> = new Set([
  'neckPitch',
  'neckYaw',
  'neckRoll',
  'heelRootRotation',
  'heelBend',
  'blockRotation',
  'd neckAngle',
]);
const limitOf = (id: string): number => (DEGREES.has(id) ? SUPPORTED.degrees : SUPPORTED.mm);

const FROM_ALL_SIDES: ReadonlySet<PairLook['view']> = new Set(['whole', 'no-scroll']);

/** Every change and difference that has a truth, with what the comparison says of it; without one (the pair was refused) all is absent. */
export function scorePair(
  truth: PairTruth,
  look: PairLook,
  floors: ReadonlyMap<string, number>,
  result: ComparisonResult | undefined,
): Score[] {
  const reasons = new Map<string, string>(result?.absent.map((a) => [a.measure, a.reason]));
  const scores: Score[] = [];
  const add = (id: string, value: number, given: Score['given'] | undefined): void => {
    const floor = floors.get(id);
    const told = floor === undefined ? {} : { floor };
    const supported = ALWAYS.has(id) && FROM_ALL_SIDES.has(look.view) && !((floor ?? 0) > limitOf(id)) ? { supported: true } : {};
    const reason = reasons.get(id.split('.')[0] as string) ?? (result === undefined ? 'the pair was refused' : 'no reason given');
    scores.push({ id, truth: value, uTruth: U_TRUTH, ...told, ...supported, ...(given === undefined ? { absent: reason } : { given }) });
  };
  for (const [id, value] of Object.entries(truth.changes)) {
    add(id, value, given(result?.changes[id as Exclude<keyof ComparisonResult['changes'], 'neckShift'>]));
  }
  for (const [k, axis] of AXES.entries()) add(`neckShift.${axis}`, truth.neckShift[k] as number, component(result?.changes.neckShift, k));
  for (const [id, value] of Object.entries(truth.differences)) {
    if (Number.isFinite(value)) add(`d ${id}`, value, given(result?.differences[id as keyof ComparisonResult['differences']]));
  }
  return scores;
}

function given(change: TestedChange | undefined): Score['given'] | undefined {
  if (change === undefined) return undefined;
  const { value, u, U95, low, high, quality, basis } = change;
  return { value, u, U95, ...(low === undefined || high === undefined ? {} : { low, high }), quality, basis };
}

function component(shift: TestedVectorChange | undefined, k: number): Score['given'] | undefined {
  if (shift === undefined) return undefined;
  return { value: shift.value[k], u: shift.u[k], U95: shift.U95[k], quality: shift.quality, basis: shift.basis };
}

export function testsOf({ changes, differences }: ComparisonResult): PairTest[] {
  const all = [...Object.entries(changes), ...Object.entries(differences).map(([id, d]) => [`d ${id}`, d] as const)];
  return all.flatMap(([id, c]) =>
    c.significantAlone === undefined
      ? []
      : [{ id, ...(c.significant === undefined ? {} : { significant: c.significant }), alone: c.significantAlone }],
  );
}
