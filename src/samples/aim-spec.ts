import { buildInstrument } from './instrument.ts';
import type { InstrumentSpec } from './model-instrument.ts';
import { instrumentTruth } from './truth.ts';

/** Values that an instrument can be aimed at; mm. */
export interface Aim {
  readonly neckLength?: number;
  readonly overstand?: number;
  /** One of these sets the neck's angle. */
  readonly boardEndHeight?: number;
  readonly projection?: number;
  readonly neckAngle?: number;
  /** Mean x of the notches. */
  readonly stop?: number;
}

/** Rounds of correction: each leaves about a hundredth of the miss. */
const ROUNDS = 4;
/** Near enough, mm or degrees. */
const NEAR = 1e-4;

/** A spec changed until its true values, by definition, are those asked for (within some micrometres). */
export function aimSpec(spec: InstrumentSpec, aim: Aim): InstrumentSpec {
  let current = spec;
  for (let k = 0; k < ROUNDS; k++) {
    const { values } = instrumentTruth(buildInstrument(current));
    const miss = (id: keyof Aim) => (aim[id] === undefined ? 0 : (aim[id] as number) - values[id]);
    if ((Object.keys(aim) as (keyof Aim)[]).every((id) => Math.abs(miss(id)) < NEAR)) break;
    const { neck, body } = current;
    const f = body.fHoles;
    const lever = neck.board.length - neck.length;
    let angle = 0;
    if (aim.neckAngle !== undefined) angle = (miss('neckAngle') * Math.PI) / 180;
    else if (aim.projection !== undefined) angle = (miss('projection') - miss('overstand')) / values.stop;
    else if (aim.boardEndHeight !== undefined) angle = (miss('boardEndHeight') - miss('overstand')) / lever;
    current = {
      ...current,
      body: { ...body, fHoles: { ...f, notchBass: f.notchBass + miss('stop'), notchTreble: f.notchTreble + miss('stop') } },
      neck: {
        ...neck,
        length: neck.length + miss('neckLength'),
        overstand: neck.overstand + miss('overstand'),
        bedAngle: neck.bedAngle + angle,
      },
    };
  }
  return current;
}
