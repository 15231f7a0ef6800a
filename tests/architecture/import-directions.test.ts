import { readdirSync, readFileSync } from 'node:fs';
import { dirname, join, normalize, relative } from 'node:path';
import { expect, it } from 'vitest';

const ROOT = new URL('../../src', import.meta.url).pathname;

/** The way the data goes: a folder imports itself and folders before it. */
const ORDER = [
  'geometry',
  'numerics',
  'measurands',
  'formats',
  'cloud',
  'mesh',
  'fits',
  'segmentation',
  'frame',
  'measures',
  'change',
  'records',
  'reports',
  'samples',
  'batch',
  'cli',
];

interface Import {
  readonly file: string;
  readonly target: string;
}

const IMPORT = /(?:from|import)\s*\(?\s*'(\.[^']+)'/g;

/** Every relative import below src, types too. */
const imports: readonly Import[] = readdirSync(ROOT, { recursive: true, encoding: 'utf8' })
  .filter((name) => name.endsWith('.ts'))
  .flatMap((file) =>
    [...readFileSync(join(ROOT, file), 'utf8').matchAll(IMPORT)].map((match) => ({
      file,
      target: relative(ROOT, normalize(join(ROOT, dirname(file), match[1] as string))),
    })),
  );

const folder = (path: string): string => path.split('/')[0] as string;

it('imports are seen at all', () => {
  expect(imports.length).toBeGreaterThan(200);
  expect(imports).toContainEqual({ file: 'cli/run-command.ts', target: 'batch/run-survey.ts' });
});

it('every folder has its place in the order', () => {
  const folders = readdirSync(ROOT, { withFileTypes: true })
    .filter((entry) => entry.isDirectory())
    .map(({ name }) => name);
  expect(folders.filter((name) => !ORDER.includes(name))).toEqual([]);
});

it('a folder imports only itself and those before it', () => {
  const inside = imports.filter(({ target }) => !target.startsWith('..'));
  expect(inside.filter(({ file, target }) => ORDER.indexOf(folder(target)) > ORDER.indexOf(folder(file)))).toEqual([]);
});

it('only the command line uses the model instrument', () => {
  const users = imports.filter(({ target }) => folder(target) === 'samples').map(({ file }) => folder(file));
  expect([...new Set(users)].filter((name) => !['samples', 'cli'].includes(name))).toEqual([]);
  expect(users).toContain('cli');
});

it('outside of src only the package itself is read', () => {
  expect(imports.filter(({ target }) => target.startsWith('..') && target !== '../package.json')).toEqual([]);
});
