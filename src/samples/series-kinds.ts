import type { Random } from '../numerics/random.ts';
import type { InstrumentChange } from './changed-instrument.ts';
import { NO_CHANGE } from './changed-instrument.ts';
import type { InstrumentSpec } from './model-instrument.ts';
import { NO_NECK_CHANGE } from './neck-change.ts';

/** What may become of an instrument over the years. */
export const SERIES_KINDS = [
  'sink-root',
  'sink-bend',
  'sink-both',
  'warp',
  'block',
  'reset',
  'new-board',
  'season',
  'scanners',
  'still',
] as const;
export type SeriesKind = (typeof SERIES_KINDS)[number];

/** The state of an instrument at one date, against the first. */
export interface SeriesState {
  readonly change: InstrumentChange;
  /** What was done before this date. */
  readonly event?: string;
}

/** When a scan is taken, and in what air. */
export interface SeriesDate {
  /** Years since the first. */
  readonly years: number;
  /** % RH, the first's less. */
  readonly drier: number;
}

const DEGREE = Math.PI / 180;
/** A neck that sinks loses some tenths of a millimetre of projection a year: a tenth of a degree is a third of a millimetre on a violin. */
const SINK = [0.06, 0.15] as const;
/** Warp of a neck, mm a year on a violin. */
const WARP = [0.08, 0.25] as const;
/** Rise of the arch for each per cent of humidity, mm on a violin: some tenths of a millimetre between winter and summer. */
const ARCH = [0.008, 0.02] as const;
/** A reset raises the projection by 2 to 4 mm on a violin. */
const RESET = [0.6, 1.1] as const;

/** A kind of change, its amounts drawn: gives the state at each date. */
export function drawStates(
  kind: SeriesKind,
  spec: InstrumentSpec,
  size: number,
  dates: readonly SeriesDate[],
  random: Random,
): SeriesState[] {
  const between = ([from, to]: readonly [number, number]): number => from + (to - from) * random.uniform();
  const rate = between(SINK) * DEGREE;
  const share = between([0.3, 0.7]);
  const warp = between(WARP) * size;
  const arch = between(ARCH) * size;
  const neck = (change: Partial<InstrumentChange['neck']>): InstrumentChange => ({ ...NO_CHANGE, neck: { ...NO_NECK_CHANGE, ...change } });
  const always = (change: (date: SeriesDate) => InstrumentChange): SeriesState[] => dates.map((d) => ({ change: change(d) }));
  switch (kind) {
    case 'sink-root':
      return always(({ years }) => neck({ root: rate * years }));
    case 'sink-bend':
      return always(({ years }) => neck({ bend: rate * years }));
    case 'sink-both':
      return always(({ years }) => neck({ root: share * rate * years, bend: (1 - share) * rate * years }));
    case 'warp':
      return always(({ years }) => neck({ warp: warp * years }));
    case 'block':
      return always(({ years }) => ({ ...NO_CHANGE, block: rate * years }));
    case 'season':
      return always(({ drier }) => ({ ...NO_CHANGE, swell: -arch * drier }));
    case 'scanners':
    case 'still':
      return always(() => NO_CHANGE);
    case 'reset':
      return resetStates(spec, size, dates, rate, between);
    case 'new-board':
      return boardStates(spec, size, dates, between);
  }
}

type Between = (range: readonly [number, number]) => number;

/** A sinking neck that is reset half-way: raised, shifted, its heel recut; it goes on sinking at half the pace. */
function resetStates(spec: InstrumentSpec, size: number, dates: readonly SeriesDate[], rate: number, between: Between): SeriesState[] {
  const raised = -between(RESET) * DEGREE;
  const shift = [0, between([-0.3, 0.3]) * size, between([0.2, 0.8]) * size] as const;
  const yaw = between([-0.2, 0.2]) * DEGREE;
  const lean = spec.neck.heel.lean + between([0.5, 1.5]) * DEGREE;
  const at = Math.floor(dates.length / 2);
  return dates.map(({ years }, i) => {
    if (i < at) return { change: { ...NO_CHANGE, neck: { ...NO_NECK_CHANGE, root: rate * years } } };
    const root = raised + (rate / 2) * (years - dates[at].years);
    const change: InstrumentChange = { ...NO_CHANGE, neck: { ...NO_NECK_CHANGE, root, yaw, shift }, recut: { lean } };
    return i === at ? { change, event: 'neck reset' } : { change };
  });
}

/** A new board half-way: longer or shorter, thicker at its end, hollowed otherwise. */
function boardStates(spec: InstrumentSpec, size: number, dates: readonly SeriesDate[], between: Between): SeriesState[] {
  const { board } = spec.neck;
  const replaced = {
    ...board,
    length: board.length + between([1, 3]) * size,
    edgeEnd: board.edgeEnd + between([0.3, 1]) * size,
    radiusEnd: board.radiusEnd * between([0.97, 1.03]),
    scoopCentre: board.scoopCentre * between([0.7, 1.2]),
  };
  const at = Math.floor(dates.length / 2);
  const change: InstrumentChange = { ...NO_CHANGE, board: { ...NO_CHANGE.board, replaced } };
  return dates.map((_, i) => (i < at ? { change: NO_CHANGE } : i === at ? { change, event: 'new board' } : { change }));
}
