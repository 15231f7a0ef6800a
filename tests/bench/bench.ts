/**
 * Speed and memory:
 *   npm run bench -- [--runs N] [--part all|process|steps|libraries]
 * Times are printed, never asserted: they belong to the machine.
 */
import { mkdtempSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { availableParallelism, cpus, tmpdir } from 'node:os';
import { join } from 'node:path';
import { spawnSync } from 'node:child_process';
import { fileURLToPath } from 'node:url';
import { parseArgs } from 'node:util';
import { writeStlBinary } from '../../src/samples/write-stl.ts';
import { tableMarkdown } from '../study/report-table.ts';
import { benchScan } from './bench-scan.ts';
import { libraryTable } from './library-table.ts';
import { type BenchFile, processTable } from './process-table.ts';
import { stepTable } from './step-table.ts';

const PARTS = ['all', 'process', 'steps', 'libraries'];
const MILLION = 1e6;
const SIZES = [0.25 * MILLION, 0.5 * MILLION, MILLION, 2 * MILLION];

const { values: given } = parseArgs({ options: { runs: { type: 'string', default: '5' }, part: { type: 'string', default: 'all' } } });
const runs = Number(given.runs);
if (!(Number.isInteger(runs) && runs > 0)) throw new Error(`--runs wants a number, not "${given.runs}"`);
if (!PARTS.includes(given.part)) throw new Error(`--part is one of ${PARTS.join(', ')}, not "${given.part}"`);
const wants = (part: string): boolean => given.part === 'all' || given.part === part;

const root = fileURLToPath(new URL('../..', import.meta.url));
const folder = mkdtempSync(join(tmpdir(), 'necksight-bench-'));
try {
  process.stdout.write(
    `## Speed and memory\n\nNode ${process.versions.node}, ${cpus()[0]?.model ?? 'processor unknown'}, ${availableParallelism()} cores.\n\n`,
  );
  const million = fileOf(MILLION);
  if (wants('steps')) print(await stepTable(million.path, fileOf(MILLION, 'repeat').path, statSync(million.path).size / MILLION, runs));
  if (wants('process')) {
    build();
    print(
      await processTable(
        SIZES.map((n) => (n === MILLION ? million : fileOf(n))),
        runs,
      ),
    );
  }
  if (wants('libraries')) print(await libraryTable(benchScan(MILLION), runs));
} finally {
  rmSync(folder, { recursive: true, force: true });
}

function fileOf(triangles: number, draw?: string): BenchFile {
  const scan = benchScan(triangles, draw);
  const path = join(folder, `${triangles}${draw ?? ''}.stl`);
  writeFileSync(path, writeStlBinary(scan));
  return { path, triangles: scan.triangles.length / 3 };
}

/** What is timed is what stands in src now. */
function build(): void {
  const { status } = spawnSync(process.execPath, ['.tools/build.mjs'], { cwd: root, stdio: 'inherit' });
  if (status !== 0) throw new Error('the build failed; see above');
}

function print(table: Parameters<typeof tableMarkdown>[0]): void {
  process.stdout.write(`${tableMarkdown(table)}\n`);
}
