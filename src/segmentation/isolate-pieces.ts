import { selectPoints } from '../cloud/select-points.ts';
import { thinCloud } from '../cloud/thin-cloud.ts';
import type { Cloud } from '../geometry/cloud.ts';
import type { Vec3 } from '../geometry/vec3.ts';
import type { Random } from '../numerics/random.ts';
import { components } from './components.ts';
import { innerDiagonal } from './inner-diagonal.ts';
import { supportPlane } from './support-plane.ts';

/** What of a scan may be an instrument. */
export interface IsolatedPieces {
  /** Thinned pieces, the one with the most surface first. */
  readonly pieces: readonly Cloud[];
  /** Planes and pieces that were taken away. */
  readonly takenAway: Readonly<Record<string, number>>;
}

/** Thinning: cells of this share of the scan's diagonal (about 3 mm on a whole violin). */
export const THIN_CELL = 0.005;
/** Pieces are one when closer than this share of the diagonal: strings, bridge and rests stay with the body. */
const PIECE_CELL = 0.018;
/** Pieces with less surface than this share of the largest are strays; an instrument beside a larger thing has more. */
const LEAST_PIECE = 0.12;
/** Pieces that are looked at, at most. */
const MOST_PIECES = 3;
/** Tables, walls and backdrops that are looked for, at most. */
const MOST_PLANES = 3;

/** Thins a cloud, takes away tables and strays, and parts what is left into pieces. No pieces when nothing is left. */
export function isolatePieces(cloud: Cloud, random: Random): IsolatedPieces {
  const takenAway: Record<string, number> = {};
  const diagonal = innerDiagonal(cloud);
  if (!(diagonal > 0)) return { pieces: [], takenAway };
  let rest = thinCloud(strided(cloud), THIN_CELL * diagonal);
  for (let k = 0; k < MOST_PLANES; k++) {
    const main = withoutStrays(rest);
    if (main.count < rest.count) takenAway.separatePieces = (takenAway.separatePieces ?? 0) + rest.count - main.count;
    rest = main;
    const size = innerDiagonal(rest);
    const plane = supportPlane(rest, size, random.fork(`support ${k}`));
    if (plane === undefined) break;
    takenAway.supports = (takenAway.supports ?? 0) + 1;
    rest = withoutPlane(rest, plane.normal, plane.offset, size);
  }
  return { pieces: piecesOf(rest), takenAway };
}

function piecesOf(cloud: Cloud): Cloud[] {
  if (cloud.count === 0) return [];
  const { labels, areas } = components(cloud, PIECE_CELL * innerDiagonal(cloud));
  const large = areas.filter((a) => a >= LEAST_PIECE * areas[0]).slice(0, MOST_PIECES);
  return large.map((_, piece) =>
    selectPoints(
      cloud,
      Uint8Array.from(labels, (l) => (l === piece ? 1 : 0)),
    ),
  );
}

function withoutStrays(cloud: Cloud): Cloud {
  if (cloud.count === 0) return cloud;
  const { labels, areas } = components(cloud, PIECE_CELL * innerDiagonal(cloud));
  return selectPoints(
    cloud,
    Uint8Array.from(labels, (l) => (areas[l] >= LEAST_PIECE * areas[0] ? 1 : 0)),
  );
}

/** Points that the coarse search looks at: four and more for each of its cells. */
const MOST_LOOKED_AT = 100_000;

/** Every k-th point, each standing for k times its area. */
function strided(cloud: Cloud): Cloud {
  const every = Math.floor(cloud.count / MOST_LOOKED_AT);
  if (every < 2) return cloud;
  const count = Math.floor(cloud.count / every);
  const positions = new Float32Array(3 * count);
  const normals = new Float32Array(3 * count);
  const areas = new Float32Array(count);
  for (let j = 0; j < count; j++) {
    const i = j * every;
    for (let k = 0; k < 3; k++) {
      positions[3 * j + k] = cloud.positions[3 * i + k];
      normals[3 * j + k] = cloud.normals[3 * i + k];
    }
    areas[j] = every * cloud.areas[i];
  }
  return { count, positions, normals, areas, oriented: cloud.oriented };
}

/** What lies under the table's surface or within this share of the diagonal of it goes with it. */
const TABLE_SKIN = 0.006;

function withoutPlane(cloud: Cloud, normal: Vec3, offset: number, diagonal: number): Cloud {
  const p = cloud.positions;
  const height = (i: number) => normal[0] * p[3 * i] + normal[1] * p[3 * i + 1] + normal[2] * p[3 * i + 2] - offset;
  let side = 0;
  for (let i = 0; i < cloud.count; i++)
    side += Math.sign(height(i)) * (Math.abs(height(i)) > 2 * TABLE_SKIN * diagonal ? cloud.areas[i] : 0);
  const keep = new Uint8Array(cloud.count);
  for (let i = 0; i < cloud.count; i++) keep[i] = height(i) * Math.sign(side || 1) > TABLE_SKIN * diagonal ? 1 : 0;
  return selectPoints(cloud, keep);
}
