import { describe, expect, it } from 'vitest';
import { Slugs } from '../../src/records/slug.ts';

const SAFE = /^[a-z0-9](?:[a-z0-9-]*)$/;

describe('file names made of what a catalogue says', () => {
  const hostile = [
    '../../x',
    '=1+1',
    '</script>',
    '',
    '///',
    'con',
    'NUL',
    '.',
    '..',
    '\u0000',
    '日本',
    'Größe Ä',
    'a'.repeat(500),
    '-x-',
    'C:\\x',
  ];

  it.each(hostile)('are safe: %j', (text) => {
    const slug = new Slugs().unique(text);
    expect(slug).toMatch(SAFE);
    expect(slug.length).toBeLessThanOrEqual(70);
    expect(['con', 'nul']).not.toContain(slug);
  });

  it('are given once each, also where two texts look alike after slugging, or like a counter', () => {
    const slugs = new Slugs();
    const given = ['h 1', 'h-1', 'H/1', 'h-1-2', 'h 1 2', 'h-1'].map((text) => slugs.unique(text));
    expect(new Set(given).size).toBe(given.length);
  });
});
