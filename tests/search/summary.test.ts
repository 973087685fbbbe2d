import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { compareRows, createGathering, rank, type SweepRow } from '../../src/search/index.js';

const AXES = [
  { key: 'a', unit: '', spacing: 'list', values: [1, 2, 3, 4, 5] },
  { key: 'b', unit: '', spacing: 'list', values: [1, 2, 3, 4, 5, 6] },
] as const;

/** Few scores, so that many are equal. */
const anyRows = fc
  .array(fc.record({ score: fc.option(fc.integer({ min: 0, max: 4 })), stalled: fc.boolean(), missed: fc.subarray(['sagRpm'] as const) }), { minLength: 1, maxLength: 30 })
  .map((list) => list.map((row, index) => ({ ...row, index, reason: row.score === null ? `cell ${index}` : null, stalled: row.stalled && row.score !== null }) as unknown as SweepRow));

describe('what a page tells of a sweep', () => {
  test('is what sorting all rows gives, for any number shown', () => {
    fc.assert(
      fc.property(anyRows, fc.integer({ min: 1, max: 12 }), (rows, top) => {
        const gathering = createGathering({ axes: AXES }, 30, top);
        gathering.add(rows.slice(0, 7));
        gathering.add(rows.slice(7));
        const summary = gathering.summary();
        const ranked = rank(rows).map((place) => rows[place]!).filter(({ score }) => score !== null);
        expect(summary.best).toEqual(ranked.slice(0, top));
        expect(summary.last).toBe(ranked.at(-1) ?? null);
        const scores = ranked.map(({ score }) => score!);
        expect(summary.worstScore).toBe(scores.length === 0 ? null : Math.max(...scores));
        expect([summary.done, summary.notRun, summary.stalls]).toEqual([rows.length, rows.length - ranked.length, rows.filter(({ stalled }) => stalled).length]);
        expect(summary.firstReason).toBe(rows.find(({ score }) => score === null)?.reason ?? null);
      }),
    );
  });

  test('has a map of a grid of two axes, with a mark for every cell', () => {
    const rows = [
      { index: 0, score: 3, stalled: false, missed: [] },
      { index: 1, score: 4, stalled: false, missed: ['sagRpm'] },
      { index: 2, score: 99, stalled: true, missed: [] },
      { index: 4, score: null, stalled: false, missed: [] },
    ] as unknown as SweepRow[];
    const gathering = createGathering({ axes: AXES }, 30, 3);
    gathering.add(rows);
    const { map } = gathering.summary();
    expect([0, 1, 2, 3, 4].map((index) => map!.mark(index))).toEqual(['held', 'missed', 'stalled', 'unreached', 'notRun']);
    expect([map!.score(0), map!.score(1)]).toEqual([3, 4]);
  });

  test('has no map of one key, nor of points that are no grid', () => {
    expect(createGathering({ axes: AXES.slice(0, 1) }, 5, 3).summary().map).toBeNull();
    expect(createGathering({ axes: AXES, design: { kind: 'points', points: [[1, 2]] } }, 1, 3).summary().map).toBeNull();
  });
});

test('the ranking goes by stall, then score, then index, for more rows than it first makes room for', () => {
  const rows = Array.from({ length: 5_000 }, (_, i) => ({ score: i % 11 === 0 ? null : (i * 7919) % 101, stalled: i % 11 !== 0 && i % 5 === 0 }));
  const order = rank(rows);
  expect([...order].sort((a, b) => a - b)).toEqual(rows.map((_, i) => i));
  for (let k = 1; k < order.length; k++) {
    const [a, b] = [order[k - 1]!, order[k]!];
    const difference = compareRows(rows[a]!, rows[b]!);
    expect(difference < 0 || (difference === 0 && a < b)).toBe(true);
  }
});
