import fc from 'fast-check';
import { expect, test } from 'vitest';
import { type Axis, cellCount, cellIndex, cellValues } from '../../src/search/index.js';

const axis = (key: string, values: readonly number[]): Axis => ({ key, unit: '', spacing: 'list', values });

test('the last axis runs fastest', () => {
  const axes = [axis('a', [1, 2]), axis('b', [10, 20, 30])];
  expect(Array.from({ length: cellCount(axes) }, (_, i) => cellValues(axes, i))).toEqual([[1, 10], [1, 20], [1, 30], [2, 10], [2, 20], [2, 30]]);
});

test('every cell has one index and every index one cell', () => {
  const lengths = fc.array(fc.integer({ min: 1, max: 40 }), { minLength: 1, maxLength: 4 });
  fc.assert(
    fc.property(lengths, fc.nat(), (sizes, pick) => {
      const axes = sizes.map((n, a) => axis(`k${a}`, Array.from({ length: n }, (_, i) => 1000 * a + i)));
      const index = pick % cellCount(axes);
      const places = cellValues(axes, index).map((value, a) => value - 1000 * a);
      for (const [a, place] of places.entries()) expect(place >= 0 && place < sizes[a]!).toBe(true);
      expect(cellIndex(axes, places)).toBe(index);
    }),
  );
});

test('the first cell has the first values and the last the last', () => {
  const axes = [axis('a', [3, 1, 2]), axis('b', [5]), axis('c', [7, 9])];
  expect(cellValues(axes, 0)).toEqual([3, 5, 7]);
  expect(cellValues(axes, cellCount(axes) - 1)).toEqual([2, 5, 9]);
});

test('a cell that is not there is refused', () => {
  const axes = [axis('a', [1, 2])];
  for (const index of [-1, 2, 0.5, Number.NaN]) expect(() => cellValues(axes, index)).toThrow(RangeError);
  expect(() => cellIndex(axes, [2])).toThrow('a: place 2; there are 2, from 0');
  expect(() => cellIndex(axes, [])).toThrow(RangeError);
});

test('a grid of a million cells is never laid out', () => {
  const axes = ['a', 'b', 'c', 'd', 'e', 'f'].map((key) => axis(key, [0, 1, 2, 3, 4, 5, 6, 7, 8, 9]));
  expect(cellCount(axes)).toBe(1_000_000);
  expect(cellValues(axes, 123_456)).toEqual([1, 2, 3, 4, 5, 6]);
});
