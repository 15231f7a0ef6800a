/** Figures to reach: 95th percentile of |error|, mm or degrees, by group. Ordinary scans with the other kernel are held against the same. */
export const TARGETS: Readonly<Record<string, Readonly<Record<string, number>>>> = {
  clean: { neckAngle: 0.01, projection: 0.03, overstand: 0.03, boardOffset: 0.03, heelLean: 0.06 },
  ordinary: { neckAngle: 0.025, projection: 0.09, overstand: 0.09, boardOffset: 0.1, heelLean: 0.2 },
};

/** Measurands that are held against what plain fits to the known parts could do. */
export const NEAR_FLOOR: readonly string[] = [
  'neckAngle',
  'projection',
  'overstand',
  'boardOffset',
  'scoopCentre',
  'heelLean',
  'neckThicknessNut',
  'neckThicknessHeel',
];
/** Their 95th percentile of |error| may be at most this many times the floor, or else one of the figures below. */
export const FLOOR_FACTOR = 1.3;
export const FLOOR_FIGURES: Readonly<Record<string, Readonly<Record<string, number>>>> = {
  clean: TARGETS.clean ?? {},
  ordinary: { neckAngle: 0.02, projection: 0.08, overstand: 0.07, boardOffset: 0.06, heelLean: 0.12 },
};

/** Least share of scans in which the frame is found. */
export const FRAME_FOUND = 0.99;
/** Least share of supported headline values of ordinary scans that are called good. */
export const GOOD_SHARE = 0.9;
/** A coverage is as promised when its Clopper–Pearson interval meets this range. */
export const COVERAGE_RANGE: readonly [number, number] = [0.93, 0.98];
/** Most that the mean interval may be wider than the one width that would just hold 95 %. */
export const WIDTH_RATIO = 1.3;
/** Greatest share of supported headline values that the record lacks. */
export const ABSENT_SHARE = 0.01;
