import type { OpenedScan } from '../measures/open-scan.ts';
import { FACET_ERROR, type PartSamples } from '../measures/family.ts';
import { drawLongWave } from '../measures/uncertainty/long-wave-prior.ts';
import { type SampleBook, sampleBook, withLongWave, withScanNoise } from '../measures/uncertainty/perturb-samples.ts';
import type { Random } from '../numerics/random.ts';
import { sampleField } from '../numerics/random-field.ts';
import type { PairField } from './pair-field.ts';
import { CORES, type PairModel, type PairValues, pairValues, type Unshown } from './pair-model.ts';
import type { BodyRegistration } from './whole-body.ts';

/** What one source of error in one of the scans does to the values of a pair: deviations, by name. */
export interface PairSpread {
  readonly source: string;
  readonly side: 'baseline' | 'later';
  /** Its size is an assumption. */
  readonly assumed?: true;
  readonly deviations: ReadonlyMap<string, Float64Array>;
}

/** Repetitions a source and side: u is then known to 13 % and, of errors whose own size is drawn, to some 10 %. */
const WHITE_REPEATS = 32;
const LONG_WAVE_REPEATS = 96;
/** Share of repetitions in which a value must be formed; one that comes and goes is not supported. */
const LEAST_FORMED = 0.8;
/**
 * The noise of a point on a large facet in that of a vertex: as for one scan.
 */
const BETWEEN_CORNERS = 0.8;

/**
 * What a body changed where no core stands, in what it changed at its cores: rims and channels, the top under the board and the back beside the button are 0.37 of the cores' area on violins of both models,
 * and the top changes most under the board.
 */
const BESIDE_CORES = 0.5;

/** The two scans as opened, for their noise. */
export interface PairNoise {
  readonly baseline: OpenedScan['noise'];
  readonly later: OpenedScan['noise'];
  /** Long-wave field of the pair, where the bodies show it. */
  readonly field: PairField | undefined;
  /** RMS of what the body itself changed round each core, mm, and where that was not seen; undefined where it kept its shape. */
  readonly unseen: (NonNullable<BodyRegistration['unseen']> & { readonly amplitude: Float64Array; readonly length: number }) | undefined;
}

/**
 * Repeats a comparison with simulated errors of either scan alone (parametric bootstrap, JCGM 101:2008, clause 5). One draw of a long-wave field moves body, neck and samples of a
 * scan alike, so what the registration takes up of it, and what both share, cancels as it does in truth.
 */
export function pairSpreads(model: PairModel, nominal: PairValues, noise: PairNoise, random: Random): PairSpread[] {
  const ofScans = (['baseline', 'later'] as const).flatMap((side) => {
    const book = sampleBook(model[side].parts, noise[side]);
    const other = side === 'baseline' ? model.later.parts : model.baseline.parts;
    const values = (moved: PartSamples) => (side === 'baseline' ? pairValues(model, moved, other) : pairValues(model, other, moved));
    const stream = random.fork(side);
    const repeated = (source: string, repeats: number, once: (r: Random) => PartSamples): PairSpread => ({
      source,
      side,
      deviations: deviations(nominal, repeats, () => values(once(stream))),
    });
    const own = noise[side];
    const spreads = [
      repeated('scan noise', WHITE_REPEATS, (r) => withScanNoise(book, r)),
      {
        ...repeated('long-wave error', LONG_WAVE_REPEATS, (r) => {
          const { amplitude, length } = longWave(noise, side, r);
          return withLongWave(book, amplitude, length, r);
        }),
        ...(noise.field === undefined && own.longWave.amplitude === undefined ? ({ assumed: true } as const) : {}),
      },
    ];
    const local = (source: string, amplitude: number, length: number, b: SampleBook): void => {
      if (length > 0) spreads.push(repeated(source, WHITE_REPEATS, (r) => withLongWave(b, amplitude, length, r)));
    };
    local('thinned mesh', BETWEEN_CORNERS * own.sigma, own.thinned, book);
    local('coarse facets', FACET_ERROR * own.facets, own.facets, book);
    return spreads;
  });
  return [...ofScans, ...unshownSpreads(model, nominal, noise, random.fork('unshown'))];
}

/** What no scan shows: the body's own change where it was not seen, how far the head moved by itself, and how a warp goes on into the heel. */
function unshownSpreads(model: PairModel, nominal: PairValues, { unseen }: PairNoise, random: Random): PairSpread[] {
  const { baseline, later } = model;
  const repeated = (source: string, once: () => Unshown): PairSpread => ({
    source,
    side: 'later',
    deviations: deviations(nominal, WHITE_REPEATS, () => pairValues(model, baseline.parts, later.parts, once())),
  });
  const spreads: PairSpread[] = [];
  if (unseen !== undefined) {
    const { xyz } = model.cores[CORES.body];
    spreads.push(
      repeated('change of the body where it is not seen', () => {
        const field = sampleField(xyz, 1, unseen.length, random);
        return { body: unseen.fit.solve(field.map((v, i) => (unseen.cores[i] === 1 ? -v : -v * BESIDE_CORES) * unseen.amplitude[i])) };
      }),
    );
  }
  if (model.head !== undefined) {
    spreads.push(repeated('head by itself', () => ({ head: { roll: random.normal(), x: random.normal() } })));
  }
  if (model.heel !== undefined) {
    spreads.push(repeated('warp of the neck at the heel', () => ({ warp: [random.normal(), random.normal(), random.normal()] })));
  }
  return spreads;
}

/** Amplitude and length of one draw for one side: its share of the pair's field, or its own prior. */
function longWave(noise: PairNoise, side: 'baseline' | 'later', random: Random): { readonly amplitude: number; readonly length: number } {
  const own = noise[side];
  if (noise.field === undefined || own.longWave.amplitude !== undefined) return drawLongWave(own.sigma, own.longWave, random);
  const { alike } = noise.field;
  const { amplitude, length } = alike[Math.floor(random.uniform() * alike.length)];
  const share = own.sigma / Math.hypot(noise.baseline.sigma, noise.later.sigma);
  return { amplitude: amplitude * share, length };
}

function deviations(nominal: PairValues, repeats: number, once: () => PairValues): Map<string, Float64Array> {
  const rows = new Map<string, number[]>();
  for (let k = 0; k < repeats; k++) {
    for (const [name, value] of once()) {
      const centre = nominal.get(name);
      if (centre === undefined || !Number.isFinite(value)) continue;
      const row = rows.get(name);
      if (row === undefined) rows.set(name, [value - centre]);
      else row.push(value - centre);
    }
  }
  const all = new Map<string, Float64Array>();
  for (const [name, row] of rows) if (row.length >= LEAST_FORMED * repeats) all.set(name, Float64Array.from(row));
  return all;
}
