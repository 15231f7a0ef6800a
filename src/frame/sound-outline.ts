import { quantile } from '../numerics/statistics.ts';
import { rimCoordinates } from './rim-coordinates.ts';
import type { RimStation } from './rim-stations.ts';
import { tornBins } from './torn-outline.ts';

/** Neighbours on each side that a station of the outline is held against. */
const NEIGHBOURS = 7;
/** Deviations from the neighbours' line: robust standard deviations, and the least that counts, mm × size (an outline bends by 0.1 mm over ± 14 mm). */
const OUTLIER = 4;
const LEAST = 0.3;
/** On rough scans and facets single stations wander by several times the scatter of points about the edge's profile. */
const ROUGH = 6;

/**
 * Stations without those whose outline leaves its neighbours: clamps, clutter, gaps. Only local outliers go: real asymmetry of the two sides stays, since
 * the centreline is plain least squares.
 */
export function soundOutline(stations: readonly RimStation[], bodyLength: number, size: number, scatter: number): RimStation[] {
  const least = Math.max(LEAST * size, ROUGH * scatter);
  const rim = rimCoordinates(bodyLength);
  const sound: RimStation[] = [];
  for (const side of [-1, 1]) {
    const rows = stations.filter((s) => s.side === side);
    const along = rows.map((s) => rim.along(s.x, Math.abs(s.y)));
    const out = rows.map((s) => rim.out(s.x, Math.abs(s.y)));
    const off = rows.map((s, i) => (Number.isNaN(s.x) ? NaN : out[i] - localLine(along, out, i)));
    const torn = tornBins(
      rows.flatMap((s, i) => (Number.isNaN(s.x) ? [] : [{ bin: s.bin, along: along[i], out: out[i], corner: isCorner(s, bodyLength) }])),
      size,
      scatter,
    );
    rows.forEach((s, i) => {
      if (Number.isNaN(off[i]) || torn.has(s.bin)) sound.push({ ...s, x: NaN, y: NaN });
      else {
        const near = off
          .slice(Math.max(0, i - 2 * NEIGHBOURS), i + 2 * NEIGHBOURS + 1)
          .filter((v) => !Number.isNaN(v))
          .map(Math.abs);
        const limit = Math.max(least, OUTLIER * 1.4826 * quantile(near, 0.5));
        sound.push(isCorner(s, bodyLength) || Math.abs(off[i]) <= limit ? s : { ...s, x: NaN, y: NaN });
      }
    });
  }
  return sound;
}

/** Corners stand at a third and at three fifths of a body (common practice, no source); where an outline turns as sharply elsewhere, it is torn. Shares of body length. */
const CORNERS = { from: 0.26, to: 0.7 };

const isCorner = (s: RimStation, bodyLength: number): boolean =>
  s.corner && s.x > CORNERS.from * bodyLength && s.x < CORNERS.to * bodyLength;

/** Value at station i of the line through its neighbours: median of slopes, then of intercepts. */
function localLine(along: readonly number[], out: readonly number[], i: number): number {
  const ids: number[] = [];
  for (let k = Math.max(0, i - NEIGHBOURS); k <= Math.min(along.length - 1, i + NEIGHBOURS); k++)
    if (k !== i && !Number.isNaN(out[k])) ids.push(k);
  if (ids.length < 4) return NaN;
  const slopes: number[] = [];
  for (let a = 0; a < ids.length; a++)
    for (let b = a + 1; b < ids.length; b++)
      if (along[ids[b]] !== along[ids[a]]) slopes.push((out[ids[b]] - out[ids[a]]) / (along[ids[b]] - along[ids[a]]));
  if (slopes.length === 0) return NaN;
  const slope = quantile(slopes, 0.5);
  return quantile(
    ids.map((k) => out[k] - slope * (along[k] - along[i])),
    0.5,
  );
}
