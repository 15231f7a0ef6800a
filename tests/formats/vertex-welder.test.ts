import fc from 'fast-check';
import { expect, test } from 'vitest';
import { VertexWelder } from '../../src/formats/vertex-welder.ts';

test('gives the numbers that a map of all vertices gives, from any first guess of their count', () => {
  const few = fc.constantFrom(0, -0, 1, -1, 0.1, Math.fround(0.1), 1e-40, 3.5);
  fc.assert(
    fc.property(fc.array(fc.tuple(few, few, few), { maxLength: 700 }), fc.nat(1000), (vertices, expected) => {
      const welder = new VertexWelder(expected);
      const map = new Map<string, number>();
      for (const vertex of vertices) {
        const floats = Float32Array.from(vertex);
        const bits = new Int32Array(floats.buffer);
        const key = Array.from(floats, (value) => value + 0).join();
        if (!map.has(key)) map.set(key, map.size);
        expect(welder.add(bits[0], bits[1], bits[2])).toBe(map.get(key));
      }
      expect(welder.count).toBe(map.size);
      expect(Array.from(welder.positions()).join()).toBe([...map.keys()].join());
    }),
    { seed: 7, numRuns: 50 },
  );
});

test('cost stays linear on a regular grid, where neighbours differ in few bits', () => {
  const welder = new VertexWelder(0);
  const grid = new Float32Array(3);
  const bits = new Int32Array(grid.buffer);
  let wrong = 0;
  for (let pass = 0; pass < 2; pass++) {
    for (let i = 0; i < 512; i++) {
      for (let j = 0; j < 512; j++) {
        grid.set([i, j, 0]);
        if (welder.add(bits[0], bits[1], bits[2]) !== 512 * i + j) wrong += 1;
      }
    }
  }
  expect(wrong).toBe(0);
  expect(welder.count).toBe(512 * 512);
});
