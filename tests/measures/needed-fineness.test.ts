import { describe, expect, it } from 'vitest';
import { absences } from '../../src/measures/absences.ts';
import { neededFineness, spacingOverSurface } from '../../src/measures/needed-fineness.ts';

const COARSE = { spacing: 7.8, sigma: 0.05, size: 1 };

describe('a reason says what would be needed', () => {
  it('of a scan that is too coarse or too noisy for the measure', () => {
    expect(neededFineness('overstand', COARSE)).toBe('; spacing 7.8 mm, this needs 2 mm or finer');
    expect(neededFineness('overstand', { spacing: 1, sigma: 0.6, size: 1 })).toBe('; noise 0.60 mm, this needs 0.4 mm or less');
    expect(neededFineness('overstand', { ...COARSE, spacing: 4, size: 3 })).toBe('');
    expect(neededFineness('boardFlareBass', COARSE)).toBe('');
  });

  it('after what is not seen, and once', () => {
    const reasons = new Map([
      ['heelLean', 'the heel is not in the scan'],
      ['boardLength', 'facets of 8 mm: this needs 4 mm or finer'],
    ] as const);
    const absent = new Map(absences({}, reasons, false, COARSE).map((a) => [a.measure, a.reason]));
    expect(absent.get('heelLean')).toBe('the heel is not in the scan; spacing 7.8 mm, this needs 2 mm or finer');
    expect(absent.get('boardLength')).toBe('facets of 8 mm: this needs 4 mm or finer');
    expect(absent.get('neckLength')).toBe('the joint of neck and body is not seen; spacing 7.8 mm, this needs 2 mm or finer');
    expect(absent.get('bridgeLean')).toBe('no bridge is seen');
  });
});

it('the spacing is that of most of the surface, wherever most of the points lie', () => {
  // 900 points on 900 mm² of an edge, 100 on 1600 mm² of a face.
  const areas = Float32Array.from({ length: 1000 }, (_, i) => (i < 900 ? 1 : 16));
  const cloud = { count: 1000, positions: new Float32Array(3000), normals: new Float32Array(3000), areas, oriented: true };
  expect(spacingOverSurface(cloud)).toBe(4);
});
