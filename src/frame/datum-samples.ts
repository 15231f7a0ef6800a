import { SampleList, type Samples } from '../geometry/samples.ts';
import { quantile } from '../numerics/statistics.ts';
import { outlineBesideNeck } from './joint-outline.ts';
import type { NeckRoot } from './neck-root.ts';
import { outlineBesideSaddle } from './outline-beside-saddle.ts';
import { outlineSamples } from './outline-samples.ts';
import type { RimStation } from './rim-stations.ts';

/** All that the datums A, B, C are computed from; working frame, mm. */
export interface DatumSamples {
  /** Crest of the edge, weight = length of outline it stands for. */
  readonly crest: Samples;
  /** Crest beside the neck root, for the overstand, whether or not it counts for A. */
  readonly crestBass: Samples;
  readonly crestTreble: Samples;
  /** Outline of each side in the stretches that the centreline uses and between them, by rising x. */
  readonly outlineBass: Samples;
  readonly outlineTreble: Samples;
  readonly besideNeck: Samples;
  readonly besideSaddle: Samples;
  readonly rootBass: Samples;
  readonly rootTreble: Samples;
}

/** What lies under or within 5 mm of neck, board or saddle is left out of A (measurands.md); mm, not scaled. */
const LEFT_OUT_BESIDE = 5;
/** Crest beside the root for the overstand, mm × size from the root's side. */
const OVERSTAND = { from: 5, to: 20 };
/** Half the width of a saddle, share of body length (35 mm on a violin; common practice, no source). */
const SADDLE_HALF = 0.05;
/** A station's crest this many robust deviations from its neighbours is a clamp, a cork, a tailgut. */
const OUTLIER = 4;
/** Neighbours on each side for that test. */
const NEIGHBOURS = 12;
const NONE = new SampleList().samples();

export function datumSamples(
  stations: readonly RimStation[],
  root: NeckRoot,
  boardHalf: number,
  bodyLength: number,
  size: number,
  step: number,
): DatumSamples {
  const sound = withoutStrays(oneKind(stations), size);
  const isFree = (s: RimStation) =>
    s.crestX < 0.5 * bodyLength
      ? Math.abs(s.crestY) > Math.max(boardHalf, root.halfWidth) + LEFT_OUT_BESIDE
      : Math.abs(s.crestY) > SADDLE_HALF * bodyLength + LEFT_OUT_BESIDE || s.crestX < 0.9 * bodyLength;
  const beside = (side: 1 | -1) => (s: RimStation) =>
    s.side === side &&
    s.crestX < 40 * size &&
    Math.abs(s.crestY) - root.halfWidth > OVERSTAND.from * size &&
    Math.abs(s.crestY) - root.halfWidth < OVERSTAND.to * size;
  return {
    crest: crestOf(clearOfCorners(sound).filter(isFree), step),
    crestBass: crestOf(sound.filter(beside(-1)), step),
    crestTreble: crestOf(sound.filter(beside(1)), step),
    outlineBass: outlineOf(stations, -1),
    outlineTreble: outlineOf(stations, 1),
    besideNeck: outlineBesideNeck(stations, root, size),
    besideSaddle: outlineBesideSaddle(stations, bodyLength),
    rootBass: root.bass ?? NONE,
    rootTreble: root.treble ?? NONE,
  };
}

/** Share of stations with a channel from which on those without count as not seen: a crest and a surface beside it must not be mixed. */
const MOSTLY_CHANNELLED = 0.4;

function oneKind(stations: readonly RimStation[]): readonly RimStation[] {
  const channelled = stations.filter((s) => s.channel);
  return channelled.length >= MOSTLY_CHANNELLED * stations.length ? channelled : stations;
}

function withoutStrays(stations: readonly RimStation[], size: number): RimStation[] {
  const seen = stations.filter((s) => !Number.isNaN(s.crestZ));
  return seen.filter((s, i) => {
    const near = seen.slice(Math.max(0, i - NEIGHBOURS), i + NEIGHBOURS + 1).filter((o) => o.side === s.side);
    const middle = quantile(
      near.map((o) => o.crestZ),
      0.5,
    );
    const spread =
      1.4826 *
      quantile(
        near.map((o) => Math.abs(o.crestZ - middle)),
        0.5,
      );
    return Math.abs(s.crestZ - middle) < Math.max(OUTLIER * spread, 0.15 * size);
  });
}

/** Stations this near to a corner share points with it (their windows reach ± 3 bins), and their normals lean with it: their crest is not that of their section. */
const BESIDE_CORNER = 4;

function clearOfCorners(stations: readonly RimStation[]): readonly RimStation[] {
  const near = new Set<number>();
  const key = (side: number, bin: number): number => side * (bin + BESIDE_CORNER + 1);
  for (const s of stations) if (s.corner) for (let k = -BESIDE_CORNER; k <= BESIDE_CORNER; k++) near.add(key(s.side, s.bin + k));
  return stations.filter((s) => !near.has(key(s.side, s.bin)));
}

function crestOf(stations: readonly RimStation[], step: number): Samples {
  const list = new SampleList();
  for (const s of stations) list.add(s.crestX, s.crestY, s.crestZ, 0, 0, 1, s.crestU, step);
  return list.samples();
}

function outlineOf(stations: readonly RimStation[], side: 1 | -1): Samples {
  return outlineSamples(stations.filter((s) => s.side === side && !Number.isNaN(s.x)).sort((a, b) => a.x - b.x));
}
