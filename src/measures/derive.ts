import type { Samples } from '../geometry/samples.ts';
import { NormalEquations } from '../numerics/normal-equations.ts';
import type { EvaluationContext, PartSamples } from './family.ts';
import type { StationSource } from './result.ts';

/** How the bridge station is taken, decided once a scan. */
export interface StationRule {
  readonly source: StationSource;
  /** Stop, mm, where it is given or in the catalogue. */
  readonly given: number | undefined;
  /** Usual neck ÷ stop, where nothing better is there. */
  readonly ratio: number;
}

/** Names under which random inputs of a repetition stand in `shared`; absent in the nominal pass. */
export const DRAWS = { stopRatio: 'draw.stopRatio' } as const;

/** Neck length from the board line and the nut's front edge. Needs the board family's results. */
export function deriveNeckLength(context: EvaluationContext): void {
  const nutX = context.shared.get('board.nutX');
  const slope = context.shared.get('boardLine.slope');
  if (nutX === undefined || slope === undefined) return;
  // A board that drops from a hump to its nut lies below its line there: its nut is dropped onto the line at right angles.
  const below = context.shared.get('board.nutBelow') ?? 0;
  context.values.set('neckLength', -nutX * Math.hypot(1, slope) + (below * slope) / Math.hypot(1, slope));
}

/** The bridge station. Needs neck length and the station family's results. */
export function deriveStop(rule: StationRule, context: EvaluationContext): void {
  const neck = context.values.get('neckLength');
  const stop = stopOf(rule, neck, context);
  if (stop === undefined) return;
  context.values.set('stop', stop);
  if (neck !== undefined && rule.source !== 'assumed') context.values.set('stopRatio', neck / stop);
}

function stopOf(rule: StationRule, neck: number | undefined, context: EvaluationContext): number | undefined {
  if (rule.source === 'given' || rule.source === 'catalogue') return rule.given;
  if (rule.source === 'notches') return context.shared.get('station.notches');
  if (rule.source === 'bridge') return context.shared.get('station.bridge');
  return neck === undefined ? undefined : neck / (rule.ratio + (context.shared.get(DRAWS.stopRatio) ?? 0));
}

/**
 * What joins board, body and station: projection, board end height, overstand, board offset.
 *
 * @param topAt  height of the top on the centreline at x, or NaN
 */
export function deriveSet(
  samples: PartSamples,
  context: EvaluationContext,
  topAt: { readonly station: (x: number) => number; readonly end: (x: number) => number },
): void {
  const { shared, values } = context;
  const line = shared.get('boardLine.z0');
  const slope = shared.get('boardLine.slope');
  const stop = values.get('stop');
  const end = shared.get('board.endX');
  if (line !== undefined && slope !== undefined) {
    if (stop !== undefined) setFinite(values, 'projection', line + slope * stop - topAt.station(stop));
    if (end !== undefined) setFinite(values, 'boardEndHeight', line + slope * end - topAt.end(end));
  }
  const centre = shared.get('boardCentre.y0');
  const centreSlope = shared.get('boardCentre.slope');
  if (centre !== undefined && centreSlope !== undefined && stop !== undefined) values.set('boardOffset', centre + centreSlope * stop);
  const bass = overstandOf('bass', samples['datum.crestBass'], samples['datum.rootBass'], context);
  const treble = overstandOf('treble', samples['datum.crestTreble'], samples['datum.rootTreble'], context);
  if (bass !== undefined) values.set('overstandBass', bass);
  if (treble !== undefined) values.set('overstandTreble', treble);
  if (bass !== undefined && treble !== undefined) values.set('overstand', (bass + treble) / 2);
}

function setFinite(values: EvaluationContext['values'], id: 'projection' | 'boardEndHeight', value: number): void {
  if (Number.isFinite(value)) values.set(id, value);
}

/** Fewest crest stations for the line beside the root. */
const FEWEST = 4;

function overstandOf(side: 'bass' | 'treble', crest: Samples, root: Samples, context: EvaluationContext): number | undefined {
  const arris = context.shared.get(`lowerArris.${side}.z0`);
  if (arris === undefined || crest.count < FEWEST || root.count === 0) return undefined;
  const rootY = rootAtJoint(root);
  const equations = new NormalEquations(2);
  for (let i = 0; i < crest.count; i++) equations.add([1, Math.abs(crest.xyz[3 * i + 1]) - rootY], crest.xyz[3 * i + 2], crest.weight[i]);
  return arris - equations.solve().coefficients[0];
}

/** |y| of the root's side as it reaches the joint. */
function rootAtJoint(root: Samples): number {
  let y = 0;
  for (let i = 0; i < root.count; i++) y += Math.abs(root.xyz[3 * i + 1]) / root.count;
  return y;
}
