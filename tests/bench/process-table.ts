import { linearLeastSquares } from '../../src/numerics/linear-least-squares.ts';
import { median } from '../../src/numerics/statistics.ts';
import type { ReportTable } from '../study/report-table.ts';
import { canPin, costOf, type ProcessCost } from './process-cost.ts';

export interface BenchFile {
  readonly path: string;
  readonly triangles: number;
}

/** Figures to reach with a million triangles: s on one core of a present-day server, and MB resident. */
const SECONDS_AT_A_MILLION = 2;
const MEGABYTES_AT_A_MILLION = 500;
const MILLION = 1e6;
/** A file counts as the one of a million triangles when it is that near. */
const NEAR = 0.05;

/** `necksight measure --json` as a whole process, start and reading included, on files of growing size. */
export async function processTable(files: readonly BenchFile[], runs: number): Promise<ReportTable> {
  const idle = await medianCost(['--version'], runs);
  const rows = [row('start alone (--version)', undefined, idle)];
  const costs: { readonly triangles: number; readonly seconds: number }[] = [];
  for (const { path, triangles } of files) {
    const cost = await medianCost(['measure', '--json', path], runs);
    costs.push({ triangles, seconds: cost.user + cost.system });
    rows.push(row(`${(triangles / MILLION).toFixed(2)} M triangles`, triangles, cost));
  }
  const { fixed, perMillion } = line(costs);
  return {
    title: 'Whole process: necksight measure --json on a binary STL',
    note: `Median of ${runs} runs${canPin ? ', held on one core' : ''}, s. Time on the processor: ${fixed.toFixed(2)} s and ${perMillion.toFixed(2)} s for each million triangles (least squares). To reach at a million: ${SECONDS_AT_A_MILLION} s, ${MEGABYTES_AT_A_MILLION} MB.`,
    columns: ['scan', 'user', 'system', 'user + system', 'wall', 'resident, MB', 's per M triangles', 'to reach'],
    rows,
  };
}

function row(name: string, triangles: number | undefined, { user, system, wall, megabytes }: ProcessCost): string[] {
  const million = triangles !== undefined && Math.abs(triangles / MILLION - 1) < NEAR;
  const reached = user + system <= SECONDS_AT_A_MILLION && megabytes <= MEGABYTES_AT_A_MILLION;
  return [
    name,
    user.toFixed(2),
    system.toFixed(2),
    (user + system).toFixed(2),
    wall.toFixed(2),
    megabytes.toFixed(0),
    triangles === undefined ? '–' : ((user + system) / (triangles / MILLION)).toFixed(2),
    million ? (reached ? '✓' : '✗') : '',
  ];
}

async function medianCost(args: readonly string[], runs: number): Promise<ProcessCost> {
  const costs: ProcessCost[] = [];
  for (let i = 0; i < runs; i++) costs.push(await costOf(args));
  const of = (what: (c: ProcessCost) => number): number => median(costs.map(what));
  return { wall: of((c) => c.wall), user: of((c) => c.user), system: of((c) => c.system), megabytes: of((c) => c.megabytes) };
}

/** Least-squares line through time on the processor over millions of triangles. */
function line(costs: readonly { readonly triangles: number; readonly seconds: number }[]): {
  readonly fixed: number;
  readonly perMillion: number;
} {
  const design = costs.flatMap((c) => [1, c.triangles / MILLION]);
  const { coefficients } = linearLeastSquares(
    design,
    2,
    costs.map((c) => c.seconds),
  );
  return { fixed: coefficients[0] as number, perMillion: coefficients[1] as number };
}
