import { InputError } from '../geometry/input-error.ts';

/** No scan has such a coordinate in any unit (a light year in mm is 1e19); beyond it squares of 32-bit floats overflow. */
export const COORDINATE_LIMIT = 1e18;

/** Whether a number can be a coordinate: finite and below `COORDINATE_LIMIT`. */
export function isCoordinate(value: number): boolean {
  return Math.abs(value) < COORDINATE_LIMIT; // false for NaN
}

/** @param place  where the point stands in the file, e.g. `line 12`, `vertex 7` */
export function refuseCoordinate(place: string, found: number | string): InputError {
  return new InputError(
    'not-finite',
    `${place} has the coordinate ${found}: not a finite length; take the point out or export the scan again`,
  );
}
