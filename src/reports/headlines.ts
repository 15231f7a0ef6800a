import type { MeasureId } from '../measurands/measurands.ts';

/** What a survey shows of each instrument at one glance. */
export const HEADLINES = [
  'neckAngle',
  'projection',
  'overstand',
  'boardOffset',
  'boardTilt',
  'heelLean',
  'neckLength',
  'stop',
  'archHeight',
] as const satisfies readonly MeasureId[];
