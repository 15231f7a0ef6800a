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

/**
 * Body lengths that are built, smallest fractional to largest full size, mm; depth over both edges and board width as shares of body length. Lengths
 * from usual size tables (a full violin 355, a sixteenth 190–200, violas 300–450, cellos 440–780, basses 780–1200; common practice, no source); depth =
 * (ribs + two edges) ÷ length, 38/355, 46/410, 125/755, 220/1110 ± 20 %; board width at the joint 33/355, 36/410, 48/755, 62/1110 ± 20 %.
 */
const CLASSES: Readonly<Record<ClassName, { readonly length: readonly [number, number]; readonly depth: readonly [number, number]; readonly board: readonly [number, number] }>> = {
  violin: { length: [180, 374], depth: [0.08, 0.138], board: [0.074, 0.118] },
  viola: { length: [340, 460], depth: [0.08, 0.14], board: [0.07, 0.112] },
  cello: { length: [420, 800], depth: [0.138, 0.21], board: [0.05, 0.0735] },
  bass: { length: [760, 1260], depth: [0.14, 0.26], board: [0.042, 0.072] },
};

/** A full violin ends and a viola begins about here, mm (common practice, no source): the two have the same proportions. */
const VIOLA_FROM = 373;
/** A large cello ends and a small bass begins about here, mm. */
const BASS_FROM = 800;

export interface Stated {
  readonly unit?: Unit | undefined;
  readonly instrumentClass?: ClassName | undefined;
}

/**
 * Unit and class that fit a body of `length` scan units with these proportions. What is stated holds; size alone decides nothing (a bass in inches is as long
 * as a viola in centimetres), the proportions must agree with it.
 *
 * @throws {InputError} `unit-unclear` when no unit or more than one fits
 */
export function unitAndClass(length: number, seen: Proportions, stated: Stated): { readonly unit: Unit; readonly instrumentClass: ClassName } {
  const units = stated.unit === undefined ? (Object.keys(MM_PER) as Unit[]) : [stated.unit];
  const classes = stated.instrumentClass === undefined ? (Object.keys(CLASSES) as ClassName[]) : [stated.instrumentClass];
  const fits: { unit: Unit; instrumentClass: ClassName }[] = [];
  for (const unit of units) {
    const mm = length * MM_PER[unit];
    const possible = classes.filter((c) => plausible(c, mm, seen, stated));
    const chosen = possible.length > 1 ? bySize(possible, mm) : possible[0];
    if (chosen !== undefined) fits.push({ unit, instrumentClass: chosen });
  }
  if (fits.length === 1) return fits[0];
  const found = fits.length === 0 ? 'no unit makes it an instrument of a usual size' : `${fits.map((f) => `a ${f.instrumentClass} in ${f.unit}`).join(' and ')} would both fit`;
  throw new InputError('unit-unclear', `the body is ${length.toPrecision(4)} units long: ${found}; state --unit (and --class)`);
}

const within = (v: number, [from, to]: readonly [number, number]): boolean => Number.isNaN(v) || (v >= from && v <= to);

/** Stated units widen what is believed of sizes: a stated unit and class are taken at their word. */
const STATED_SLACK = 1.25;

function plausible(c: ClassName, mm: number, seen: Proportions, stated: Stated): boolean {
  const { length, depth, board } = CLASSES[c];
  if (stated.unit !== undefined && stated.instrumentClass !== undefined) return mm > length[0] / STATED_SLACK / 1.5 && mm < length[1] * STATED_SLACK;
  if (!within(mm, length)) return false;
  if (stated.instrumentClass !== undefined) return true;
  // Two proportions outvote one that a rest or a stand has spoilt only when both are seen: each must fit.
  return within(seen.depth, depth) && within(seen.boardWidth, board);
}

function bySize(possible: readonly ClassName[], mm: number): ClassName {
  if (possible.includes('violin') && possible.includes('viola')) return mm < VIOLA_FROM ? 'violin' : 'viola';
  if (possible.includes('cello') && possible.includes('bass')) return mm < BASS_FROM ? 'cello' : 'bass';
  return possible[0];
}
