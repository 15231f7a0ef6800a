import type { Unit } from '../../../src/geometry/scan.ts';
import { type Random, random } from '../../../src/numerics/random.ts';
import { drawChange, type PairChange, type PairKind } from './draw-change.ts';

/** Goes up whenever an entry below changes its meaning: results of another version are not taken for results of this one. */
export const PAIR_PLAN_VERSION = 2;

/** The model instruments of the pairs. */
export const PAIR_MODELS = ['a', 'b'] as const;
export type PairModelName = (typeof PAIR_MODELS)[number];

export type PairQuality = 'clean' | 'ordinary';

/** How a scan of a pair is taken. */
export interface PairLook {
  readonly quality: PairQuality;
  readonly view: 'whole' | 'no-back' | 'no-scroll' | 'front';
  readonly fittings: 'bare' | 'strung' | 'fitted' | 'full';
  /** Distance of neighbouring points on a violin, mm. */
  readonly spacing: number;
  readonly form: 'mesh' | 'cloud';
  readonly unit: Unit;
}

/** One later scan held against its baseline. */
export interface PairEntry {
  /** `still-a-017-3`: group, model, instrument, number. */
  readonly key: string;
  readonly group: string;
  readonly model: PairModelName;
  /** Of its instrument. */
  readonly instrument: number;
  /** What every random number of this later scan depends on. */
  readonly draw: string;
  readonly change: PairChange;
  readonly look: PairLook;
}

/** One baseline and the later scans that are held against it. */
export interface PairJob {
  readonly key: string;
  readonly model: PairModelName;
  readonly draw: number;
  readonly look: PairLook;
  readonly pairs: readonly PairEntry[];
}

interface PairGroup {
  readonly name: string;
  readonly title: string;
  readonly quality: PairQuality;
  readonly kind: PairKind;
  /** Later scans of this kind for each instrument. */
  readonly each: number;
}

/** The study of pairs, fixed before it is run. */
export const PAIR_GROUPS: readonly PairGroup[] = [
  { name: 'mixed-clean', title: 'Several changes, clean', quality: 'clean', kind: 'mixed', each: 2 },
  { name: 'sink-clean', title: 'Sink of 0.10 mm, clean', quality: 'clean', kind: 'sink 0.10 mm', each: 1 },
  { name: 'mixed-ordinary', title: 'Several changes, ordinary', quality: 'ordinary', kind: 'mixed', each: 2 },
  { name: 'board', title: 'Board alone, ordinary', quality: 'ordinary', kind: 'board', each: 1 },
  { name: 'neck', title: 'Neck alone, ordinary', quality: 'ordinary', kind: 'neck', each: 1 },
  { name: 'still', title: 'No change, ordinary', quality: 'ordinary', kind: 'none', each: 3 },
  { name: 'sink-ordinary', title: 'Sink of 0.30 mm, ordinary', quality: 'ordinary', kind: 'sink 0.30 mm', each: 1 },
];

/** Instruments of each model: 120 pairs of each model and group that has two an instrument, 360 of no change, 120 of each sink. */
const INSTRUMENTS = 60;
/** Number of the first random draw; far from those of the study of single scans. */
const FIRST_DRAW = 301000;
/** mm on a violin, even in its logarithm. */
const SPACING = [0.5, 0.9] as const;
/** Share of later scans that show the whole instrument. */
const WHOLE = 0.7;
/** Share of clouds. */
const CLOUDS = 0.25;

/** All baselines with their pairs, clean and ordinary ones of an instrument one after the other. */
export function pairPlan(instruments = INSTRUMENTS, firstDraw = FIRST_DRAW): readonly PairJob[] {
  return Array.from({ length: instruments }, (_, i) => i).flatMap((i) =>
    PAIR_MODELS.flatMap((model) => (['clean', 'ordinary'] as const).map((quality) => jobOf(model, quality, i, firstDraw + i))),
  );
}

function jobOf(model: PairModelName, quality: PairQuality, instrument: number, draw: number): PairJob {
  const number = String(instrument).padStart(3, '0');
  return {
    key: `${quality}-${model}-${number}`,
    model,
    draw,
    look: drawLook(quality, 'whole', random(`study baseline ${quality} ${draw}`)),
    pairs: PAIR_GROUPS.filter((g) => g.quality === quality).flatMap((group) =>
      Array.from({ length: group.each }, (_, k): PairEntry => {
        const key = `${group.name}-${model}-${number}-${k}`;
        const own = `study pair ${group.name} ${draw} ${k}`;
        const stream = random(own);
        return {
          key,
          group: group.name,
          model,
          instrument,
          draw: own,
          change: drawChange(group.kind, stream.fork('change')),
          look: drawLook(quality, 'any', stream.fork('look')),
        };
      }),
    ),
  };
}

function drawLook(quality: PairQuality, view: 'whole' | 'any', stream: Random): PairLook {
  const oneOf = <T>(values: readonly T[]): T => values[Math.floor(stream.uniform() * values.length)];
  const [from, to] = SPACING;
  return {
    quality,
    view: view === 'whole' || stream.uniform() < WHOLE ? 'whole' : oneOf(['no-back', 'no-scroll', 'front'] as const),
    fittings: quality === 'clean' ? 'bare' : oneOf(['strung', 'fitted', 'full'] as const),
    spacing: from * (to / from) ** stream.uniform(),
    form: stream.uniform() < CLOUDS ? 'cloud' : 'mesh',
    unit: oneOf(['mm', 'mm', 'm', 'in'] as const),
  };
}
