import type { Unit } from '../../src/geometry/scan.ts';
import { type Random, random } from '../../src/numerics/random.ts';
import type { MeasureOptions } from '../../src/measures/result.ts';
import type { InstrumentClass } from '../../src/measures/family.ts';

/** Goes up whenever an entry below changes its meaning: results of another version are not taken for results of this one. */
export const PLAN_VERSION = 4;

/** The two model instruments, written apart from each other: `src/samples` and `tests/second-model`. */
export const MODELS = ['a', 'b'] as const;
export type Model = (typeof MODELS)[number];

export type StudyView = 'whole' | 'front' | 'no-back' | 'top-half' | 'no-scroll';

/** How the scans of a group are taken, and of what. */
export interface Conditions {
  readonly instrument: InstrumentClass;
  readonly set: 'modern' | 'early';
  readonly view: StudyView;
  readonly fittings: 'bare' | 'fitted';
  /** White noise along normals, mm. */
  readonly sigma: number;
  /** Error that neighbours share: covariance amplitude²·exp(−d²/length²) (gaussian) or amplitude²·exp(−d/length), mm. */
  readonly correlated: { readonly amplitude: number; readonly length: number; readonly kernel: 'gaussian' | 'exponential' };
  /** Distance of neighbouring points, mm × body length ÷ 355 mm. */
  readonly spacing: number;
  /** What the catalogue says of the scan. */
  readonly stated: MeasureOptions;
}

export interface StudyGroup {
  readonly name: string;
  readonly title: string;
  /** Scans of each model. */
  readonly count: number;
  /** Number of its first random draw; groups lie far enough apart. */
  readonly firstDraw: number;
  readonly conditions: Conditions;
  /** Which bounds of the coverage were promised: both, unless the long-wave error is another than is assumed or stated. */
  readonly promise?: 'lower' | 'none';
  /** What differs from scan to scan within the group. */
  readonly vary?: (random: Random) => Partial<Conditions>;
}

/** One scan of the study. */
export interface PlanEntry {
  /** `ordinary-a-017`: group, model, number. */
  readonly key: string;
  readonly group: string;
  readonly model: Model;
  readonly number: number;
  /** What every random number of instrument and scan depends on. */
  readonly draw: number;
  readonly conditions: Conditions;
  readonly form: 'mesh' | 'cloud';
  readonly unit: Unit;
}

const CLEAN: Conditions = {
  instrument: 'violin',
  set: 'modern',
  view: 'whole',
  fittings: 'bare',
  sigma: 0.03,
  correlated: { amplitude: 0, length: 50, kernel: 'gaussian' },
  spacing: 0.5,
  stated: {},
};

/** Ordinary quality: unit, class and stop are not stated. */
const ORDINARY: Conditions = { ...CLEAN, fittings: 'fitted', sigma: 0.05, correlated: { amplitude: 0.02, length: 50, kernel: 'gaussian' } };
const EXPONENTIAL = { amplitude: 0.02, length: 50, kernel: 'exponential' } as const;

/**
 * Fixed long-wave amplitudes, mm: what is assumed of a scan of 0.05 mm noise has its median at 0.019 mm and its greatest at 0.033 mm. One lies well below, one far above.
 */
const LOW = 0.008;
const HIGH = 0.1;

/**
 * The study, fixed before it is run. 200 ordinary scans of each model give the 95th percentile to about a tenth; a quarter as many again of
 * all ordinary ones have the exponential kernel and stand apart. The other groups show that nothing breaks there, not small figures.
 */
export const GROUPS: readonly StudyGroup[] = [
  { name: 'clean', title: 'Clean violins', count: 100, firstDraw: 101000, conditions: CLEAN },
  { name: 'ordinary', title: 'Ordinary violins', count: 200, firstDraw: 102000, conditions: ORDINARY },
  {
    name: 'exponential',
    title: 'Ordinary violins, correlation exp(−d/L)',
    count: 67,
    firstDraw: 103000,
    conditions: { ...ORDINARY, correlated: EXPONENTIAL },
  },
  { name: 'viola', title: 'Violas', count: 14, firstDraw: 104000, conditions: { ...ORDINARY, instrument: 'viola' } },
  { name: 'cello', title: 'Cellos', count: 14, firstDraw: 105000, conditions: { ...ORDINARY, instrument: 'cello' } },
  { name: 'bass', title: 'Basses', count: 10, firstDraw: 106000, conditions: { ...ORDINARY, instrument: 'bass' } },
  { name: 'early', title: 'Violins with an early set', count: 14, firstDraw: 107000, conditions: { ...ORDINARY, set: 'early' } },
  { name: 'front', title: 'Front only', count: 8, firstDraw: 108000, conditions: { ...ORDINARY, view: 'front' } },
  { name: 'no-back', title: 'Without the back', count: 8, firstDraw: 108100, conditions: { ...ORDINARY, view: 'no-back' } },
  { name: 'top-half', title: 'Upper half only', count: 8, firstDraw: 108200, conditions: { ...ORDINARY, view: 'top-half' } },
  { name: 'no-scroll', title: 'Without the scroll', count: 8, firstDraw: 108300, conditions: { ...ORDINARY, view: 'no-scroll' } },
  { name: 'wide', title: 'Scanners of every quality', count: 110, firstDraw: 110000, conditions: ORDINARY, vary: anyScanner },
  {
    name: 'low',
    title: 'Ordinary violins, long-wave error 0.008 mm',
    count: 50,
    firstDraw: 111000,
    conditions: waves(LOW),
    promise: 'lower',
  },
  {
    name: 'low-stated',
    title: 'Ordinary violins, long-wave error 0.008 mm, stated',
    count: 50,
    firstDraw: 112000,
    conditions: stated(LOW),
  },
  {
    name: 'high',
    title: 'Ordinary violins, long-wave error 0.1 mm',
    count: 50,
    firstDraw: 113000,
    conditions: waves(HIGH),
    promise: 'none',
  },
  {
    name: 'high-stated',
    title: 'Ordinary violins, long-wave error 0.1 mm, stated',
    count: 50,
    firstDraw: 114000,
    conditions: stated(HIGH),
  },
];

function waves(amplitude: number): Conditions {
  return { ...ORDINARY, correlated: { ...ORDINARY.correlated, amplitude } };
}

/** The catalogue knows what the scanner does. */
function stated(amplitude: number): Conditions {
  return { ...waves(amplitude), stated: { longWave: amplitude, longWaveLength: ORDINARY.correlated.length } };
}

/** Ranges of the scanners of group `wide`, mm: noise and spacing even in their logarithms, long-wave error as an unknown scanner's is assumed to be. */
const SIGMA = [0.02, 0.2] as const;
const SPACING = [0.3, 2] as const;
const AMPLITUDE_PER_SIGMA = [0.1, 0.65] as const;
const LARGEST_AMPLITUDE = 0.1;
const LENGTH = [30, 80] as const;
/** Shares of violins and of views of the whole instrument in group `wide`. */
const VIOLINS = 0.5;
const WHOLE = 0.7;

function anyScanner(stream: Random): Partial<Conditions> {
  const even = ([from, to]: readonly [number, number]): number => from + (to - from) * stream.uniform();
  const evenInLogarithm = ([from, to]: readonly [number, number]): number => from * (to / from) ** stream.uniform();
  const oneOf = <T>(values: readonly T[]): T => values[Math.floor(stream.uniform() * values.length)];
  const sigma = evenInLogarithm(SIGMA);
  const amplitude = Math.min(LARGEST_AMPLITUDE, sigma * even(AMPLITUDE_PER_SIGMA));
  return {
    instrument: stream.uniform() < VIOLINS ? 'violin' : oneOf(['viola', 'cello', 'bass'] as const),
    view: stream.uniform() < WHOLE ? 'whole' : oneOf(['front', 'no-back', 'no-scroll'] as const),
    fittings: oneOf(['bare', 'fitted', 'fitted'] as const),
    sigma,
    correlated: { amplitude, length: even(LENGTH), kernel: 'gaussian' },
    spacing: evenInLogarithm(SPACING),
  };
}

/** Scans are mostly stored in mm; nothing states it. */
const UNITS: readonly Unit[] = ['mm', 'mm', 'm', 'in', 'cm'];
/** Every fourth scan is a cloud: most scanners give meshes. */
const CLOUD_EVERY = 4;

/** All scans, the groups interleaved in proportion: a study that is cut short has seen a share of each. */
export function studyPlan(groups: readonly StudyGroup[] = GROUPS): readonly PlanEntry[] {
  const all = groups.flatMap((group) =>
    MODELS.flatMap((model) =>
      Array.from({ length: group.count }, (_, n) => ({ entry: entryOf(group, model, n), place: (n + 0.5) / group.count })),
    ),
  );
  return all.sort((p, q) => p.place - q.place).map(({ entry }) => entry);
}

export function entryOf(group: StudyGroup, model: Model, number: number): PlanEntry {
  return {
    key: `${group.name}-${model}-${String(number).padStart(3, '0')}`,
    group: group.name,
    model,
    number,
    draw: group.firstDraw + number,
    conditions: { ...group.conditions, ...group.vary?.(random(`study vary ${group.firstDraw + number}`)) },
    form: number % CLOUD_EVERY === CLOUD_EVERY - 1 ? 'cloud' : 'mesh',
    unit: UNITS[number % UNITS.length],
  };
}
