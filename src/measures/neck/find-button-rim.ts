import { quantile } from '../../numerics/statistics.ts';
import type { Workpiece } from '../family.ts';
import { pointsInBox } from '../points-in-box.ts';

/** Where the heel's contour ends at the button, for scans that do not show the button's outer face. Working frame, mm. */
export interface ButtonRim {
  readonly end: number;
  /** Height of the face at the rim. */
  readonly low: number;
  /** Standard uncertainty of the button's lowest outer face, taken from its rim. */
  readonly u: number;
}

/** mm × size. Half the strip about the centreline, and where along the body the heel's lower part lies. */
const HALF_STRIP = 3.5;
const TOWARDS_SCROLL = 32;
const BEFORE_JOINT = 3;
/** mm × size. Depths under the edge plane between which buttons lie: ribs of 24 mm on the flattest violins; of a bass 75 mm by this scale. */
const LEAST_DEPTH = 18;
const GREATEST_DEPTH = 110;
/** Cosine to the long axis of the heel's front. */
const FACING = 0.55;
/** mm × size and spacings. Step of the trace down the heel, and the steps without points that end it. */
const STEP = 1;
const STEP_SPACINGS = 1.5;
const GAP = 2;
/** Share of the lowest step's points that lie below the rim: a stray point must not lower it. */
const STRAY = 0.03;
/** mm × size. Where beside the neck the back's overhang is looked for. */
const BESIDE = { x: [1, 30], y: [12, 75] } as const;
const LEVEL = 0.85;
/** mm × size. The button's face lies below the upper side of the back's overhang by an edge's thickness (3.5 to 4.5 mm, worn or doubled edges besides). */
const EDGE = { least: 1.8, most: 6.5 } as const;
/** mm² × size². Area of overhang that must be seen: some 15 mm of edge. */
const LEAST_AREA = 25;
/** mm × size. The contour is followed until the rim's rounding turns it away; the face lies lower by what is left of the rounding. */
const ROUNDING = 0.2;
/** mm × size. A button's face is cambered or slopes by some tenths, and roundings differ. */
const RIM_U = 0.3;
/** The same for the spacing of points: the last row lies up to a spacing above the rim. */
const ROW_U = 0.3;

/**
 * The lower end of the heel's contour as it is seen from the front or the side. That the heel ends there, and not the scan, is proven by the back's edge:
 * its overhang must be seen beside the neck, an edge's thickness above.
 */
export function findButtonRim(whole: Workpiece): ButtonRim | undefined {
  const { cloud, size, spacing } = whole;
  const p = cloud.positions;
  const y = Math.max(HALF_STRIP * size, 2 * spacing);
  const x = [-TOWARDS_SCROLL * size, -BEFORE_JOINT * size] as const;
  const front = pointsInBox(cloud, { x, y: [-y, y], z: [-GREATEST_DEPTH * size, -LEAST_DEPTH * size] }, { axis: 'x', least: FACING });
  const step = Math.max(STEP * size, STEP_SPACINGS * spacing);
  const steps = new Map<number, number[]>();
  for (const i of front) {
    const k = Math.floor((-p[3 * i + 2] - LEAST_DEPTH * size) / step);
    const members = steps.get(k);
    if (members === undefined) steps.set(k, [i]);
    else members.push(i);
  }
  let last = -1;
  for (let k = 0; k - last <= GAP; k++) if (steps.has(k)) last = k;
  if (last < 1) return undefined;
  // The last two steps: the lowest alone may hold a point or two.
  const lowest = [...(steps.get(last) ?? []), ...(steps.get(last - 1) ?? [])];
  const along = (k: number) => Float64Array.from(lowest, (i) => p[3 * i + k]);
  const low = quantile(along(2), STRAY) - ROUNDING * size;
  return edgeBeside(whole, low) ? { end: quantile(along(0), 0.5), low, u: Math.hypot(RIM_U * size, ROW_U * spacing) } : undefined;
}

/** Whether the back's overhang is seen beside the neck as far above `low` as an edge is thick. */
function edgeBeside({ cloud, size }: Workpiece, low: number): boolean {
  const z = [low + EDGE.least * size, low + EDGE.most * size] as const;
  const x = [BESIDE.x[0] * size, BESIDE.x[1] * size] as const;
  return ([-1, 1] as const).some((side) => {
    const y = BESIDE.y.map((v) => side * v * size).sort((a, b) => a - b);
    const level = pointsInBox(cloud, { x, y: [y[0], y[1]], z }, { axis: 'z', least: LEVEL });
    return level.reduce((area, i) => area + cloud.areas[i], 0) > LEAST_AREA * size * size;
  });
}
