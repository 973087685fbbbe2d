import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { SweepRow } from '../../src/search/evaluate.js';
import { type Better, front, frontOf } from '../../src/search/front.js';
import { type Objective, OBJECTIVES } from '../../src/search/objectives.js';

type Pair = readonly [number | null, number | null];
const of = (pairs: readonly Pair[], better: readonly [Better, Better] = ['lower', 'lower']): readonly Pair[] => front(pairs, (pair) => pair, better);

describe('the front', () => {
  test('of points on a falling line is all of them, of points on a rising one the lowest', () => {
    expect(of([[2, 1], [0, 3], [1, 2], [3, 0]])).toEqual([[0, 3], [1, 2], [2, 1], [3, 0]]);
    expect(of([[2, 2], [1, 1], [3, 3]])).toEqual([[1, 1]]);
  });

  test('leaves out what is worse in one and equal in the other, and keeps equals', () => {
    expect(of([[1, 2], [1, 3], [2, 2], [1, 2]])).toEqual([[1, 2], [1, 2]]);
  });

  test('counts higher as better where it is', () => {
    const pairs: Pair[] = [[1, 100], [2, 300], [3, 200], [2, 250]];
    expect(of(pairs, ['lower', 'higher'])).toEqual([[1, 100], [2, 300]]);
    expect(of(pairs, ['higher', 'higher'])).toEqual([[3, 200], [2, 300]]);
    expect(of(pairs, ['higher', 'lower'])).toEqual([[3, 200], [1, 100]]);
  });

  test('is nothing of nothing, and of what lacks a number; what is no number is refused', () => {
    expect(of([])).toEqual([]);
    expect(of([[null, 1], [1, null], [null, null]])).toEqual([]);
    expect(of([[null, 0], [5, 5]])).toEqual([[5, 5]]);
    expect(() => of([[Number.NaN, 1]])).toThrow(RangeError);
    expect(() => of([[1, Infinity]])).toThrow(RangeError);
  });

  const number = fc.oneof(fc.integer({ min: 0, max: 6 }), fc.double({ min: -5, max: 5, noNaN: true }), fc.constant(null));
  const pairs = fc.array(fc.tuple(number, number), { maxLength: 60 });
  const way = fc.constantFrom<Better>('lower', 'higher');

  test('keeps no dominated point and loses no other, equals included', () => {
    fc.assert(fc.property(pairs, way, way, (points, a, b) => {
      const no = (p: number, q: number, better: Better): boolean => (better === 'lower' ? p <= q : p >= q); // p no worse than q
      const dominates = (p: Pair, q: Pair): boolean => no(p[0]!, q[0]!, a) && no(p[1]!, q[1]!, b) && !(p[0] === q[0] && p[1] === q[1]);
      const known = points.filter(([x, y]) => x !== null && y !== null);
      const wanted = new Set(known.filter((q) => !known.some((p) => dominates(p, q))));
      const kept = of(points, [a, b]);
      expect(kept).toHaveLength(wanted.size);
      for (const pair of kept) expect(wanted.has(pair as (typeof points)[number])).toBe(true);
    }));
  });

  test('is the same taken in parts', () => {
    fc.assert(fc.property(pairs, pairs, way, way, (some, more, a, b) => {
      expect(of([...of(some, [a, b]), ...more], [a, b])).toEqual(of([...some, ...more], [a, b]));
    }));
  });
});

test('the front of a sweep leaves out cells that stall, that could not be run, and that lack a number', () => {
  const row = (index: number, settlingTimeS: number | null, stallMarginRpm: number | null, given: Partial<SweepRow> = {}): SweepRow => ({
    index, values: [index], score: 1, reason: null, stalled: false, stallTimeS: null, missed: [], sagRpm: 1, flareRpm: 1, settlingTimeS, stallMarginRpm, huntingRpm: null, reasons: {}, ...given,
  });
  const rows = [row(0, 3, 300), row(1, 1, 200), row(2, 0.5, 500, { stalled: true }), row(3, 0.5, 500, { score: null }), row(4, null, 900), row(5, 3, 250), row(6, 2, 300)];
  const objective = (name: string): Objective => OBJECTIVES.find(({ option }) => option === name)!;
  expect(frontOf(rows, [objective('settling'), objective('stall-margin')]).map(({ index }) => index)).toEqual([1, 6]);
});
