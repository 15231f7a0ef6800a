import { InputError } from '../geometry/input-error.ts';
import { MM_PER, type Unit } from '../geometry/scan.ts';

export type ClassName = 'violin' | 'viola' | 'cello' | 'bass';

/** Proportions of a found instrument, free of any unit. */
export interface Proportions {
  /** Outer distance from top edge to back edge ÷ body length; NaN where only one plate is seen. */
  readonly depth: number;
  /** Board's width over the joint ÷ body length; NaN where it is not seen. */
  readonly boardWidth: number;
}

interface ClassFigures {
  /** Share of instruments that come for a scan. */
  readonly share: number;
  /** Usual body lengths, mm: full sizes first, then fractional ones; each with its standard deviation ÷ length and its share within the class. */
  readonly sizes: readonly (readonly [length: number, spread: number, share: number])[];
  /** Middle proportions at full size. */
  readonly depth: number;
  readonly boardWidth: number;
  /** Body length of the full size, mm. */
  readonly full: number;
}

/**
 * From usual size tables (common practice, no source): depth = (ribs + two edges) ÷ length, 38/355, 46/410, 125/755, 212/1110; board at the joint 33/355, 36/410,
 * 48/755, 62/1110.
 */
const CLASSES: Readonly<Record<ClassName, ClassFigures>> = {
  violin: {
    share: 0.5,
    full: 355,
    depth: 0.106,
    boardWidth: 0.093,
    sizes: [
      [355, 0.012, 0.8],
      [335, 0.02, 0.06],
      [310, 0.03, 0.05],
      [280, 0.03, 0.03],
      [255, 0.03, 0.03],
      [225, 0.04, 0.02],
      [195, 0.04, 0.01],
    ],
  },
  viola: {
    share: 0.22,
    full: 408,
    depth: 0.112,
    boardWidth: 0.088,
    sizes: [
      [408, 0.035, 0.9],
      [365, 0.04, 0.05],
      [325, 0.05, 0.05],
    ],
  },
  cello: {
    share: 0.2,
    full: 755,
    depth: 0.164,
    boardWidth: 0.064,
    sizes: [
      [755, 0.014, 0.8],
      [690, 0.025, 0.08],
      [640, 0.03, 0.05],
      [580, 0.04, 0.03],
      [510, 0.04, 0.02],
      [450, 0.05, 0.02],
    ],
  },
  bass: {
    share: 0.08,
    full: 1110,
    depth: 0.19,
    boardWidth: 0.056,
    sizes: [
      [1110, 0.035, 0.75],
      [1030, 0.04, 0.1],
      [950, 0.04, 0.07],
      [850, 0.05, 0.05],
      [760, 0.05, 0.03],
    ],
  },
};

/** Standard deviations of the logarithms of the proportions: instruments differ, and so do estimates from a coarse scan. */
const DEPTH_SPREAD = 0.07;
const BOARD_SPREAD = 0.065;
/** Small instruments have relatively high ribs and wide boards: the proportions grow by up to this power of full ÷ length, half of it on average. */
const SMALL_GROWTH = 0.25;
/** A proportion spoilt by a rest or a stand counts no more than this many standard deviations. */
const WORST_DEVIATION = 3.5;
/** Sizes between and beyond the usual ones: this share of a class, spread evenly in the logarithm over its range widened by `BEYOND`. */
const ODD_SIZES = 0.04;
const BEYOND = 1.08;
/** How often scans come in each unit. */
const UNIT_SHARE: Readonly<Record<Unit, number>> = { mm: 0.6, m: 0.2, cm: 0.1, in: 0.1 };

/** Odds to all other units, or to a class with other proportions, that make an answer. */
const LEAST_ODDS = 15;
/** Nor may the usual size outvote the proportions: another reading of a possible size whose build agrees this many times better makes it unclear. */
const BETTER_BUILT = 4;
/** Full violins and violas share their proportions: the likelier one is taken, no measurand differs. */
const ALIKE: readonly (readonly ClassName[])[] = [['violin', 'viola'], ['cello'], ['bass']];
/** Likelihood below which nothing fits, as a density over the logarithm of the size: three standard deviations off in both proportions at an odd size. */
const LEAST_LIKELIHOOD = 1e-6;

export interface Stated {
  readonly unit?: Unit | undefined;
  readonly instrumentClass?: ClassName | undefined;
}

interface Reading {
  readonly unit: Unit;
  readonly instrumentClass: ClassName;
  readonly likelihood: number;
  /** How well the proportions alone agree, 0…1. */
  readonly build: number;
}

/**
 * Unit and class that fit a body of `length` scan units with these proportions. What is stated holds; size alone decides nothing (a bass in inches is as long
 * as a viola in centimetres), the proportions must agree with it: every unit and class is weighed by how often such a size is built and how well the proportions fit.
 *
 * @throws {InputError} `unit-unclear` when no unit or more than one fits
 */
export function unitAndClass(
  length: number,
  seen: Proportions,
  stated: Stated,
): { readonly unit: Unit; readonly instrumentClass: ClassName } {
  const units = stated.unit === undefined ? (Object.keys(MM_PER) as Unit[]) : [stated.unit];
  const classes = stated.instrumentClass === undefined ? (Object.keys(CLASSES) as ClassName[]) : [stated.instrumentClass];
  const readings: Reading[] = units.flatMap((unit) =>
    classes.map((instrumentClass) => {
      const figures = CLASSES[instrumentClass];
      const mm = length * MM_PER[unit];
      // A stated class is taken at its word: the proportions need not agree.
      const build = stated.instrumentClass === undefined ? buildAgreement(figures, mm, seen) : 1;
      return { unit, instrumentClass, likelihood: UNIT_SHARE[unit] * figures.share * sizeDensity(figures, mm) * build, build };
    }),
  );
  readings.sort((a, b) => b.likelihood - a.likelihood);
  const best = readings[0];
  if (stated.unit === undefined && stated.instrumentClass === undefined && Number.isNaN(seen.depth) && Number.isNaN(seen.boardWidth)) {
    throw unclear(length, stated, 'neither the depth of the body nor the width of the board is seen, and size alone decides nothing');
  }
  if (!(best.likelihood > LEAST_LIKELIHOOD)) throw unclear(length, stated, 'no unit makes it an instrument of a usual size and build');
  const others = readings.filter(
    (r) => r.likelihood > LEAST_LIKELIHOOD && (r.unit !== best.unit || !alike(r.instrumentClass, best.instrumentClass)),
  );
  const rival = others.find((r) => best.likelihood < LEAST_ODDS * r.likelihood || r.build > BETTER_BUILT * best.build);
  if (rival !== undefined) {
    throw unclear(
      length,
      stated,
      `a ${best.instrumentClass} in ${best.unit} and a ${rival.instrumentClass} in ${rival.unit} would both fit`,
    );
  }
  return { unit: best.unit, instrumentClass: best.instrumentClass };
}

const alike = (a: ClassName, b: ClassName): boolean => ALIKE.some((group) => group.includes(a) && group.includes(b));

function unclear(length: number, stated: Stated, found: string): InputError {
  const given = [
    stated.unit === undefined ? [] : [`unit ${stated.unit}`],
    stated.instrumentClass === undefined ? [] : [`class ${stated.instrumentClass}`],
  ].flat();
  if (given.length > 0 && found.startsWith('no unit')) {
    return new InputError(
      'unit-unclear',
      `the body is ${length.toPrecision(4)} units long, which does not go with ${given.join(' and ')}: check --unit and --class`,
    );
  }
  return new InputError('unit-unclear', `the body is ${length.toPrecision(4)} units long: ${found}; state --unit (and --class)`);
}

const buildAgreement = (figures: ClassFigures, mm: number, seen: Proportions): number =>
  agreement(seen.depth, figures.depth, DEPTH_SPREAD, figures, mm) *
  agreement(seen.boardWidth, figures.boardWidth, BOARD_SPREAD, figures, mm);

/** Density over the logarithm of the body's length. */
function sizeDensity(figures: ClassFigures, mm: number): number {
  let density = 0;
  for (const [length, spread, share] of figures.sizes) {
    const z = Math.log(mm / length) / spread;
    density += ((1 - ODD_SIZES) * share * Math.exp(-0.5 * z * z)) / (spread * Math.sqrt(2 * Math.PI));
  }
  const lengths = figures.sizes.flatMap(([length, spread]) => [length * (1 - 2 * spread), length * (1 + 2 * spread)]);
  const [least, most] = [Math.min(...lengths) / BEYOND, Math.max(...lengths) * BEYOND];
  return density + (mm >= least && mm <= most ? ODD_SIZES / Math.log(most / least) : 0);
}

/** Gaussian in the logarithm, 1 where it fits best or nothing is seen. */
function agreement(value: number, middle: number, spread: number, figures: ClassFigures, mm: number): number {
  if (Number.isNaN(value)) return 1;
  const growth = 0.5 * SMALL_GROWTH * Math.max(0, Math.log(figures.full / mm));
  const z = (Math.log(value / middle) - growth) / Math.hypot(spread, growth / 2);
  return Math.exp(-0.5 * Math.min(WORST_DEVIATION, Math.abs(z)) ** 2);
}
