import { expect } from 'vitest';
import type { Scan } from '../../src/geometry/scan.ts';

/** The first points of a scan lie, origin added, where they were written. @param places  3n. @param within  in the file's unit */
export function expectPlaces({ positions, origin }: Scan, places: readonly number[], within: number): void {
  expect(positions.length).toBeGreaterThanOrEqual(places.length);
  const worst = places.reduce((most, place, i) => Math.max(most, Math.abs(origin[i % 3] + positions[i] - place)), 0);
  expect(worst).toBeLessThan(within);
}
