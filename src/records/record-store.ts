import { readdir, readFile, rm } from 'node:fs/promises';
import { join } from 'node:path';
import type { ComparisonRecord } from './comparison-record.ts';
import type { StoredFigures } from './figures-file.ts';
import type { ScanRecord } from './record.ts';
import { writeWhole } from './write-whole.ts';

/** Records and figures of a report folder: one file each a scan, whole or not there. */
export class RecordStore {
  private readonly dir: string;

  constructor(dir: string) {
    this.dir = dir;
  }

  async write(slug: string, record: ScanRecord, figures: StoredFigures | undefined): Promise<void> {
    // Figures first: a record that is there promises its figures.
    if (figures === undefined) await rm(this.figuresPath(slug), { force: true });
    else await writeWhole(this.figuresPath(slug), `${JSON.stringify(figures)}\n`);
    await this.writeRecord(slug, record);
  }

  writeRecord(slug: string, record: ScanRecord | ComparisonRecord): Promise<void> {
    return writeWhole(this.recordPath(slug), `${JSON.stringify(record)}\n`);
  }

  removeRecord(slug: string): Promise<void> {
    return rm(this.recordPath(slug), { force: true });
  }

  readRecord(slug: string): Promise<unknown> {
    return readJson(this.recordPath(slug));
  }

  readFigures(slug: string): Promise<unknown> {
    return readJson(this.figuresPath(slug));
  }

  /** Takes away what an earlier run left of scans that are no longer asked for. */
  async keepOnly(slugs: ReadonlySet<string>): Promise<void> {
    for (const folder of ['records', 'figures'])
      await keepOnlyFiles(join(this.dir, folder), new Set([...slugs].map((slug) => `${slug}.json`)), '.json');
  }

  private recordPath(slug: string): string {
    return join(this.dir, 'records', `${slug}.json`);
  }

  private figuresPath(slug: string): string {
    return join(this.dir, 'figures', `${slug}.json`);
  }
}

/** Removes the files of a folder that end in `extension` and are not in `keep`. */
export async function keepOnlyFiles(folder: string, keep: ReadonlySet<string>, extension: string): Promise<void> {
  const names = await readdir(folder).catch(ifMissing([] as string[]));
  await Promise.all(
    names.filter((name) => name.endsWith(extension) && !keep.has(name)).map((name) => rm(join(folder, name), { force: true })),
  );
}

/** Undefined where there is no such file, or where it is not JSON: then the scan is measured again. */
async function readJson(path: string): Promise<unknown> {
  const content = await readFile(path, 'utf8').catch(ifMissing(undefined));
  if (content === undefined) return undefined;
  try {
    return JSON.parse(content);
  } catch {
    return undefined;
  }
}

const ifMissing =
  <T>(value: T) =>
  (error: NodeJS.ErrnoException): T => {
    if (error.code === 'ENOENT') return value;
    throw error;
  };
