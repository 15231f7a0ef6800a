import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';

const ROOT = new URL('..', import.meta.url).pathname;
const files = readdirSync(ROOT, { recursive: true, encoding: 'utf8' }).filter((name) => name.endsWith('.test.ts'));

/** Built from pieces, so that this file does not find itself. */
const IDLE = new RegExp(
  [
    '\\b(?:it|test|describe)\\s*\\.\\s*(?:sk',
    'ip|to',
    'do|on',
    'ly|fa',
    'ils|ski',
    'pIf|run',
    'If)\\b|\\bx(?:it|test|describe)\\s*\\(',
  ].join(''),
);

it('finds test files', () => {
  expect(files.length).toBeGreaterThan(10);
});

it.each([
  ['a skipped one', `it.sk${'ip'}('x', () => {})`],
  ['one left for later', `test.to${'do'}('x')`],
  ['a set that runs alone', `describe.on${'ly'}('x', () => {})`],
])('recognises %s', (_, code) => {
  expect(code).toMatch(IDLE);
});

describe.each(files)('%s', (file) => {
  const content = readFileSync(join(ROOT, file), 'utf8');

  it('skips nothing, leaves nothing for later, and runs nothing alone', () => {
    expect(content).not.toMatch(IDLE);
  });

  it('expects something', () => {
    expect(content).toMatch(/\bexpect\w*\s*[(.]|\bassert\w*\s*[(.]|\bwithin\w*\s*\(/);
  });
});
