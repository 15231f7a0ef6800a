import type { MeasureGroup } from '../measurands/measurands.ts';
import type { StationSource } from '../measures/result.ts';

/** Units as people write them. */
export const UNIT_SIGN = { mm: 'mm', deg: '°', 1: '' } as const;

export const GROUP_TITLE: Readonly<Record<MeasureGroup, string>> = {
  board: 'Board',
  neck: 'Neck and heel',
  body: 'Body',
  secondary: 'Further measures',
};

export const STATION_WORDS: Readonly<Record<StationSource, string>> = {
  given: 'given',
  catalogue: 'from the catalogue',
  notches: 'from the f-hole notches',
  bridge: 'from the bridge in the scan',
  assumed: 'assumed from the neck length',
};

export const BASIS_WORDS = {
  given: 'given',
  catalogue: 'from the catalogue',
  format: 'set by the format',
  inferred: 'inferred from proportions',
} as const;
