import { readFileSync } from 'node:fs';
import type { Command } from 'commander';
import { describe, expect, it } from 'vitest';
import { CATALOGUE_ROW } from '../../src/batch/catalogue-schema.ts';
import { createProgram } from '../../src/cli/program.ts';
import { MEASURANDS } from '../../src/measurands/measurands.ts';
import { SCHEMA_NAMES } from '../../src/records/schema-names.ts';
import { runNecksight } from './run-necksight.ts';

const README = readFileSync(new URL('../../README.md', import.meta.url), 'utf8');

const commands: readonly Command[] = createProgram(
  {
    stdout: () => undefined,
    stderr: () => undefined,
    now: () => new Date(0),
    catchInterrupt: () => new AbortController().signal,
    loadMeasuring: () => Promise.reject(new Error('nothing is measured here')),
    worker: { entry: '' },
  },
  () => undefined,
).commands.filter((command) => command.name() !== 'help');

describe('README', () => {
  it.each(MEASURANDS.map((m) => [m.id, m]))('has %s in its table, with its unit, name and definition', (_, m) => {
    const unit = { mm: 'mm', deg: '°', 1: '1' }[m.unit];
    expect(README).toContain(`| \`${m.id}\` | ${unit} | ${m.title} | ${m.sentence} |`);
  });

  it('has no measurand that does not exist', () => {
    const table = README.split('## What is measured')[1]?.split('\n## ')[0] ?? '';
    const ids = [...table.matchAll(/^\| `(\w+)` \|/gm)].map((match) => match[1]);
    expect(ids).toEqual(MEASURANDS.map(({ id }) => id));
  });

  it.each(commands.map((command) => [command.name(), command]))('names the command %s and its options', (name, command) => {
    expect(README).toContain(`\`necksight ${name} `);
    for (const option of command.options) expect(README, option.long ?? '').toContain(option.long ?? '');
  });

  it('names no command that does not exist', () => {
    const named = new Set([...README.matchAll(/`necksight (\w+) /g)].map((match) => match[1]));
    expect([...named].sort()).toEqual(commands.map((command) => command.name()).sort());
  });

  it('names every column of a catalogue and every schema', () => {
    for (const column of Object.keys(CATALOGUE_ROW.shape)) expect(README).toContain(`\`${column}\``);
    for (const schema of SCHEMA_NAMES) expect(README).toContain(`\`${schema}\``);
  });

  it('has every exit code', () => {
    for (const code of [0, 1, 2, 70, 130]) expect(README).toContain(`| ${code} |`);
  });
});

describe('--help', () => {
  it.each(commands.map((command) => command.name()))('of %s shows its options, examples and the caution for scanning', async (name) => {
    const { code, stdout, stderr } = await runNecksight([name, '--help']);
    expect(code).toBe(0);
    expect(stderr).toBe('');
    expect(stdout).toContain(`necksight ${name}`);
    expect(stdout).toContain('Examples:');
    expect(stdout).toMatch(/varnish/);
    for (const option of ['--quiet', '--stack', '--log-format']) expect(stdout).toContain(option);
  });

  it('of measure names every measurand', async () => {
    const words = (await runNecksight(['measure', '--help'])).stdout.split(/[\s,]+/);
    for (const { id } of MEASURANDS) expect(words).toContain(id);
  });

  it('lists all commands, and --version the version', async () => {
    const { stdout } = await runNecksight(['--help']);
    for (const command of commands) expect(stdout).toContain(`${command.name()} `);
    const { version } = JSON.parse(readFileSync(new URL('../../package.json', import.meta.url), 'utf8')) as { version: string };
    expect((await runNecksight(['--version'])).stdout.trim()).toBe(version);
  });

  it.each(SCHEMA_NAMES)('schema %s is a JSON Schema', async (name) => {
    const { code, stdout } = await runNecksight(['schema', name]);
    expect(code).toBe(0);
    expect(JSON.parse(stdout)).toMatchObject({ title: name, $schema: expect.stringContaining('json-schema.org') });
  });

  it('of schema record names every measurand', async () => {
    const { stdout } = await runNecksight(['schema', 'record']);
    for (const { id } of MEASURANDS) expect(stdout).toContain(`"${id}"`);
  });
});
