import { fitCircle } from '../../fits/circle.ts';
import type { MeasureId } from '../../measurands/measurands.ts';
import { NormalEquations } from '../../numerics/normal-equations.ts';
import type { EvaluationContext, PartSamples } from '../family.ts';
import type { Samples } from '../../geometry/samples.ts';
import { type BoardPlan, heightOnSide, PART, type SideHeights, type SidePlan } from './board-plan.ts';
import { RIM_LEVEL } from './lower-rim.ts';
import { fitSurface, type Height, heightFunction } from './playing-surface.ts';
import { type RestingLine, restStraightedge } from './straightedge.ts';

const DEGREES = 180 / Math.PI;
/** Long-wave error that no averaging takes out, mm: keeps weights from following the best-covered cells alone. */
const WEIGHT_FLOOR = 0.02;
/** The definitions' margins, mm. */
const END_MARGIN = 2;
const SECTION_FROM_END = 10;
const SCOOP_INSET = 4;
const USUAL_END_WIDTH = 42;
const ARRIS_MARGIN = 1.5;
/** Places along a profile and across a section: a parabola between them is right to 1e-4 mm. */
const PROFILE_STEPS = 90;
const SECTION_STEPS = 24;

export const sampleWeight = (u: number): number => 1 / (u * u + WEIGHT_FLOOR * WEIGHT_FLOOR);

/** A fitted side face: y = p + q·x + (r + twist·x)·v at x and height v as planned (`heightOnSide`); its lean may change along the board. */
interface FittedSide extends SideHeights {
  readonly p: number;
  readonly q: number;
  readonly r: number;
  readonly twist: number;
  readonly flare: readonly [number, number];
  readonly straightTo: number;
}

interface Arris {
  readonly y: number;
  readonly z: number;
}

interface Board {
  readonly plan: BoardPlan;
  readonly height: Height;
  readonly bass: FittedSide | undefined;
  readonly treble: FittedSide | undefined;
  /** y of the board's own centreline at x. */
  readonly centre0: number;
  readonly centreSlope: number;
  /** x of nut front and board end at y. */
  readonly nutAt: (y: number) => number;
  readonly endAt: (y: number) => number;
  readonly nutX: number;
  readonly endX: number;
}

/** Values of the board family from samples alone, in the instrument frame; what the plan calls absent is left out. */
export function evaluateBoard(plan: BoardPlan, samples: PartSamples, context: EvaluationContext): void {
  const board = fitBoard(plan, samples);
  const set = (id: MeasureId, value: number): void => {
    if (!plan.absent.has(id) && Number.isFinite(value)) context.values.set(id, value);
  };
  const line = restOnRidge(board);
  const tilt = Math.atan(line.slope);
  set('neckAngle', tilt * DEGREES);
  set('boardLength', (board.endX - board.nutX) * Math.cos(tilt) + (ridge(board, board.endX) - ridge(board, board.nutX)) * Math.sin(tilt));
  set('scoopCentre', line.gap * Math.cos(tilt));
  shareLine(board, line, context);
  if (board.bass !== undefined && board.treble !== undefined) {
    context.shared.set('boardCentre.y0', board.centre0);
    context.shared.set('boardCentre.slope', board.centreSlope);
    set('boardYaw', Math.atan(board.centreSlope) * DEGREES);
    evaluateWidths(board, board.bass, board.treble, tilt, context, set);
  }
  evaluateRims(board, samples, tilt, context, set);
}

type Setter = (id: MeasureId, value: number) => void;

function fitBoard(plan: BoardPlan, samples: PartSamples): Board {
  const surface = samples[PART.surface];
  const { coefficients } = fitSurface(plan.surface, surface.xyz, surface.u.map(sampleWeight));
  const height = heightFunction(plan.surface, coefficients);
  const bass = plan.bass === undefined ? undefined : fitSide(plan, plan.bass, samples[PART.bass]);
  const treble = plan.treble === undefined ? undefined : fitSide(plan, plan.treble, samples[PART.treble]);
  const nutAt = plan.nut === undefined ? () => plan.fromX : fitAcross(plan, samples[PART.nut], height, 'edge');
  const endAt = plan.end === undefined ? () => plan.toX : fitAcross(plan, samples[PART.end], height, plan.end);
  let centre0 = plan.surface.centre0;
  let centreSlope = plan.surface.centreSlope;
  if (bass !== undefined && treble !== undefined) {
    const x = nutAt(centre0 + centreSlope * plan.fromX);
    const atNut = (straightArris(plan, height, bass, x).y + straightArris(plan, height, treble, x).y) / 2;
    centre0 = (straightArris(plan, height, bass, 0).y + straightArris(plan, height, treble, 0).y) / 2;
    centreSlope = (centre0 - atNut) / -x;
  }
  const nutX = nutAt(centre0 + centreSlope * plan.fromX);
  const endX = endAt(centre0 + centreSlope * plan.toX);
  return { plan, height, bass, treble, centre0, centreSlope, nutAt, endAt, nutX, endX };
}

const planeHeight = (plan: BoardPlan, x: number): number => plan.surface.z0 + plan.surface.slope * x;

/** Least squares, and beyond `straightTo` a square and a cube of the way beyond. */
function fitSide(plan: BoardPlan, side: SidePlan, samples: Samples): FittedSide {
  const widened = Number.isFinite(side.straightTo);
  const twists = side.twisted ? 1 : 0;
  const columns = 3 + twists + (widened ? 2 : 0);
  const equations = new NormalEquations(columns);
  const row = new Float64Array(columns);
  row[0] = 1;
  for (let i = 0; i < samples.count; i++) {
    const x = samples.xyz[3 * i];
    row[1] = x;
    row[2] = heightOnSide(side, x, samples.xyz[3 * i + 2] - planeHeight(plan, x));
    if (twists > 0) row[3] = x * row[2];
    if (widened) {
      const beyond = Math.max(0, x - side.straightTo);
      row[columns - 2] = beyond ** 2;
      row[columns - 1] = beyond ** 3;
    }
    equations.add(row, samples.xyz[3 * i + 1], sampleWeight(samples.u[i]));
  }
  const c = equations.solve().coefficients;
  const { straightTo, share, dip } = side;
  const flare = widened ? ([c[columns - 2], c[columns - 1]] as const) : ([0, 0] as const);
  return { p: c[0], q: c[1], r: c[2], twist: twists > 0 ? c[3] : 0, flare, straightTo, share, dip };
}

/**
 * Where a face that runs across the board meets the playing surface, x at y. The face is x = c₀ + c₁·y + lean·v with v the height over the plan's
 * plane; its lean is fitted where the face itself is seen, and square to the board where only its edge is.
 */
function fitAcross(plan: BoardPlan, samples: Samples, height: Height, seen: 'face' | 'edge'): (y: number) => number {
  const square = -plan.surface.slope;
  const columns = seen === 'face' ? 3 : 2;
  const equations = new NormalEquations(columns);
  const row = new Float64Array(columns);
  row[0] = 1;
  for (let i = 0; i < samples.count; i++) {
    const x = samples.xyz[3 * i];
    const v = samples.xyz[3 * i + 2] - planeHeight(plan, x);
    row[1] = samples.xyz[3 * i + 1];
    if (seen === 'face') row[2] = v;
    equations.add(row, seen === 'face' ? x : x - square * v, sampleWeight(samples.u[i]));
  }
  const c = equations.solve().coefficients;
  const lean = seen === 'face' ? c[2] : square;
  return (y) => {
    let x = c[0] + c[1] * y;
    for (let k = 0; k < MEETING_STEPS; k++) x = c[0] + c[1] * y + lean * (height(x, y) - planeHeight(plan, x));
    return x;
  };
}

/** Steps that settle the meeting of a nearly upright side with the surface: each gains a factor of its lean, at most 0.1. */
const MEETING_STEPS = 5;

/** Upper arris at x: where side face and playing surface, produced, meet; the widened part of a side left out. */
function straightArris(plan: BoardPlan, height: Height, side: FittedSide, x: number): Arris {
  return arrisAt(plan, height, side, x, 0);
}

function arrisAt(plan: BoardPlan, height: Height, side: FittedSide, x: number, outward: number): Arris {
  const onLine = side.p + side.q * x + outward;
  const plane = planeHeight(plan, x);
  let y = onLine;
  let z = plane;
  for (let k = 0; k < MEETING_STEPS; k++) {
    z = height(x, y);
    y = onLine + (side.r + side.twist * x) * heightOnSide(side, x, z - plane);
  }
  return { y, z };
}

function flareAt(side: FittedSide, x: number): number {
  const beyond = Math.max(0, x - side.straightTo);
  return Number.isFinite(side.straightTo) ? side.flare[0] * beyond ** 2 + side.flare[1] * beyond ** 3 : 0;
}

const upperArris = (board: Board, side: FittedSide, x: number): Arris => arrisAt(board.plan, board.height, side, x, flareAt(side, x));

const ridge = (board: Board, x: number): number => board.height(x, board.centre0 + board.centreSlope * x);

/** Straightedge on the model along y = y0 + slope·x. */
function restAlong(board: Board, y0: number, slope: number): RestingLine {
  const from = board.nutAt(y0 + slope * board.nutX) + END_MARGIN;
  const to = board.endAt(y0 + slope * board.endX) - END_MARGIN;
  const x = new Float64Array(PROFILE_STEPS + 1);
  const z = new Float64Array(PROFILE_STEPS + 1);
  for (let k = 0; k <= PROFILE_STEPS; k++) {
    x[k] = from + ((to - from) * k) / PROFILE_STEPS;
    z[k] = board.height(x[k], y0 + slope * x[k]);
  }
  return restStraightedge(x, z);
}

const restOnRidge = (board: Board): RestingLine => restAlong(board, board.centre0, board.centreSlope);

function shareLine(board: Board, line: RestingLine, context: EvaluationContext): void {
  context.shared.set('board.rocks', line.rocks ? 1 : 0);
  if (!board.plan.absent.has('neckAngle')) {
    context.shared.set('boardLine.z0', line.z0);
    context.shared.set('boardLine.slope', line.slope);
  }
  if (board.plan.nut !== undefined) {
    context.shared.set('board.nutX', board.nutX);
    context.shared.set('board.nutBelow', line.z0 + line.slope * board.nutX - ridge(board, board.nutX));
  }
  if (board.plan.end !== undefined) context.shared.set('board.endX', board.endX);
}

function evaluateWidths(board: Board, bass: FittedSide, treble: FittedSide, tilt: number, context: EvaluationContext, set: Setter): void {
  const along = Math.cos(tilt);
  const nut = {
    bass: upperArris(board, bass, board.nutX + END_MARGIN * along),
    treble: upperArris(board, treble, board.nutX + END_MARGIN * along),
  };
  const end = {
    bass: upperArris(board, bass, board.endX - END_MARGIN * along),
    treble: upperArris(board, treble, board.endX - END_MARGIN * along),
  };
  const widthEnd = distance(end.bass, end.treble);
  set('boardWidthNut', distance(nut.bass, nut.treble));
  set('boardWidthEnd', widthEnd);
  set('boardTwist', (roll(end.bass, end.treble) - roll(nut.bass, nut.treble)) * DEGREES);
  const share = widthEnd / USUAL_END_WIDTH;
  set('boardRadiusNut', sectionRadius(board, bass, treble, board.nutX + SECTION_FROM_END * along, ARRIS_MARGIN * share, along));
  set('boardRadiusEnd', sectionRadius(board, bass, treble, board.endX - SECTION_FROM_END * along, ARRIS_MARGIN * share, along));
  const inset = context.instrumentClass === 'violin' ? SCOOP_INSET : SCOOP_INSET * share;
  set('scoopBass', scoopBeside(board, bass, inset) * along);
  set('scoopTreble', scoopBeside(board, treble, -inset) * along);
  set('boardFlareBass', -flareAt(bass, board.endX));
  set('boardFlareTreble', flareAt(treble, board.endX));
}

const distance = (a: Arris, b: Arris): number => Math.hypot(b.y - a.y, b.z - a.z);
const roll = (bass: Arris, treble: Arris): number => Math.atan2(treble.z - bass.z, treble.y - bass.y);

/** Gap under a straightedge laid parallel to a side's own straight arris, `inset` from it (mm, positive towards treble). */
function scoopBeside(board: Board, side: FittedSide, inset: number): number {
  const nut = straightArris(board.plan, board.height, side, board.nutX).y;
  const end = straightArris(board.plan, board.height, side, board.endX).y;
  const slope = (end - nut) / (board.endX - board.nutX);
  return restAlong(board, nut - slope * board.nutX + inset, slope).gap;
}

/** Radius of the section at x, square to the board line: heights shrink by its cosine, `along`. */
function sectionRadius(board: Board, bass: FittedSide, treble: FittedSide, x: number, margin: number, along: number): number {
  const { surface } = board.plan;
  let from = upperArris(board, bass, x).y + margin;
  const to = upperArris(board, treble, x).y - margin;
  if (surface.facet !== undefined) {
    const { ratio, half0, halfSlope } = surface.facet;
    from = Math.max(from, surface.centre0 + surface.centreSlope * x + ratio * (half0 + halfSlope * x));
  }
  const points = new Float64Array(2 * (SECTION_STEPS + 1));
  for (let k = 0; k <= SECTION_STEPS; k++) {
    const y = from + ((to - from) * k) / SECTION_STEPS;
    points[2 * k] = y;
    points[2 * k + 1] = board.height(x, y) * along;
  }
  return fitCircle(points).radius;
}

/** A lower arris: y and height over the plan's plane as straight lines in x. */
interface LowerArris {
  readonly y0: number;
  readonly z0: number;
  readonly slope: number;
}

/** Rim of the underside, v = a + b·x + c·w with w the distance from the side's line in plan, met with the side face. */
function fitLowerArris(board: Board, side: FittedSide, seen: 'rim' | 'edge', rim: Samples): LowerArris {
  const { plan } = board;
  if (seen === 'edge') return fitLowerEdge(plan, side, rim);
  const equations = new NormalEquations(3);
  const row = new Float64Array(3);
  row[0] = 1;
  for (let i = 0; i < rim.count; i++) {
    const x = rim.xyz[3 * i];
    row[1] = x;
    row[2] = rim.xyz[3 * i + 1] - side.p - side.q * x - flareAt(side, x);
    equations.add(row, rim.xyz[3 * i + 2] - planeHeight(plan, x), sampleWeight(rim.u[i]));
  }
  equations.add([0, 0, 1], 0, 1 / (RIM_LEVEL * RIM_LEVEL));
  const [a, b, c] = equations.solve().coefficients;
  const meet = 1 / (1 - c * side.r);
  return { y0: side.p + side.r * (a * meet + side.dip(0)), z0: plan.surface.z0 + a * meet, slope: plan.surface.slope + b * meet };
}

/** The arris itself, where only the end of the side face shows it: v = a + b·x. */
function fitLowerEdge(plan: BoardPlan, side: FittedSide, edge: Samples): LowerArris {
  const equations = new NormalEquations(2);
  const row = new Float64Array(2);
  row[0] = 1;
  for (let i = 0; i < edge.count; i++) {
    row[1] = edge.xyz[3 * i];
    equations.add(row, edge.xyz[3 * i + 2] - planeHeight(plan, row[1]), sampleWeight(edge.u[i]));
  }
  const [a, b] = equations.solve().coefficients;
  return { y0: side.p + side.r * (a + side.dip(0)), z0: plan.surface.z0 + a, slope: plan.surface.slope + b };
}

function evaluateRims(board: Board, samples: PartSamples, tilt: number, context: EvaluationContext, set: Setter): void {
  const { plan } = board;
  const bass = plan.rimBass && board.bass !== undefined ? fitLowerArris(board, board.bass, plan.rimBass, samples[PART.rimBass]) : undefined;
  const treble =
    plan.rimTreble && board.treble !== undefined ? fitLowerArris(board, board.treble, plan.rimTreble, samples[PART.rimTreble]) : undefined;
  shareArris('bass', bass, context);
  shareArris('treble', treble, context);
  if (bass === undefined || treble === undefined) return;
  set('boardTilt', Math.atan2(treble.z0 - bass.z0, treble.y0 - bass.y0) * DEGREES);
  const bed = Math.atan((bass.slope + treble.slope) / 2);
  set('bedAngle', bed * DEGREES);
  set('boardWedge', (tilt - bed) * DEGREES);
  const x = board.endX - SECTION_FROM_END * Math.cos(tilt);
  set(
    'boardEdgeEnd',
    (edgeHeight(board, board.bass as FittedSide, bass, x) + edgeHeight(board, board.treble as FittedSide, treble, x)) / 2,
  );
}

/** Height of the side at x, upper arris to lower arris. */
function edgeHeight(board: Board, side: FittedSide, lower: LowerArris, x: number): number {
  const upper = upperArris(board, side, x);
  const fall = upper.z - lower.z0 - lower.slope * x;
  return Math.hypot(fall, (side.r + side.twist * x) * fall);
}

function shareArris(side: 'bass' | 'treble', arris: LowerArris | undefined, context: EvaluationContext): void {
  if (arris === undefined) return;
  context.shared.set(`lowerArris.${side}.z0`, arris.z0);
  context.shared.set(`lowerArris.${side}.y0`, arris.y0);
  context.shared.set(`lowerArris.${side}.slope`, arris.slope);
}
