import { expect, test } from 'vitest';
import { MM_PER, type Unit } from '../../src/geometry/scan.ts';
import { type ClassName, unitAndClass } from '../../src/segmentation/unit-and-class.ts';

const UNITS: readonly Unit[] = ['mm', 'cm', 'm', 'in'];

/** Class, body length (mm), depth ÷ length, board's width ÷ length, as usual size tables have them. */
const SIZES: readonly (readonly [ClassName, number, number, number])[] = [
  ['violin', 355, 0.107, 0.093],
  ['violin', 190, 0.13, 0.105],
  ['violin', 230, 0.13, 0.1],
  ['violin', 280, 0.115, 0.096],
  ['violin', 335, 0.106, 0.093],
  ['viola', 380, 0.112, 0.088],
  ['viola', 408, 0.112, 0.088],
  ['viola', 440, 0.112, 0.086],
  ['cello', 755, 0.163, 0.064],
  ['cello', 510, 0.18, 0.066],
  ['cello', 570, 0.165, 0.064],
  ['cello', 690, 0.163, 0.064],
  ['bass', 850, 0.188, 0.056],
  ['bass', 1030, 0.19, 0.056],
  ['bass', 1110, 0.19, 0.056],
  ['bass', 1180, 0.189, 0.056],
];

test.each(SIZES)('%s of %d mm is told in every unit', (instrumentClass, mm, depth, boardWidth) => {
  for (const unit of UNITS) expect(unitAndClass(mm / MM_PER[unit], { depth, boardWidth }, {})).toEqual({ unit, instrumentClass });
});

const refusal = expect.objectContaining({ code: 'unit-unclear' });

test('size alone decides neither unit nor class', () => {
  expect(() => unitAndClass(355, { depth: NaN, boardWidth: NaN }, {})).toThrow(refusal);
});

test('a cello of the size of a bass and a bass of the size of a cello: proportions and size disagree, so neither is guessed', () => {
  expect(() => unitAndClass(757, { depth: 0.188, boardWidth: 0.056 }, {})).toThrow(refusal);
  expect(unitAndClass(757, { depth: 0.188, boardWidth: 0.056 }, { instrumentClass: 'bass' })).toEqual({
    unit: 'mm',
    instrumentClass: 'bass',
  });
});

test('a stated unit that makes a toy or a giant is named in the refusal', () => {
  expect(() => unitAndClass(355, { depth: 0.107, boardWidth: 0.093 }, { unit: 'm' })).toThrow(/355.*unit m/);
  expect(() => unitAndClass(355, { depth: 0.107, boardWidth: 0.093 }, { unit: 'mm', instrumentClass: 'bass' })).toThrow(
    /unit mm and class bass/,
  );
});

test('what is stated beats what is likely', () => {
  expect(unitAndClass(355, { depth: 0.107, boardWidth: 0.093 }, { instrumentClass: 'viola' }).instrumentClass).toBe('viola');
});
