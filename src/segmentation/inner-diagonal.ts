import type { Cloud } from '../geometry/cloud.ts';

/** Points looked at: the box is then known to a percent. */
const LOOKED_AT = 4000;
/** Share of the points left out at either end of each axis: outliers must not stretch the scale of everything. */
const CUT = 0.001;

/** Diagonal of the box that holds the inner 99.8 % of the points along each axis; 0 for no points. */
export function innerDiagonal(cloud: Cloud): number {
  const step = Math.max(1, Math.floor(cloud.count / LOOKED_AT));
  const count = Math.floor((cloud.count + step - 1) / step);
  if (count === 0) return 0;
  const cut = Math.floor(CUT * count);
  let sum = 0;
  for (let k = 0; k < 3; k++) {
    const values = Float32Array.from({ length: count }, (_, i) => cloud.positions[3 * i * step + k]).sort();
    sum += (values[count - 1 - cut] - values[cut]) ** 2;
  }
  return Math.sqrt(sum);
}
