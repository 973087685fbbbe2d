import fc from 'fast-check';
import { expect, test } from 'vitest';
import { createFrontGathering, frontOf, readObjectives, type Objectives, type SweepRow } from '../../src/search/index.js';

const objectives = readObjectives('settling,stall-margin') as Objectives;
const anyRows = fc.array(fc.record({ settlingTimeS: fc.option(fc.integer({ min: 0, max: 8 })), stallMarginRpm: fc.integer({ min: 0, max: 8 }), stalled: fc.boolean() }), { maxLength: 60 });
const numbered = (rows: readonly object[]): SweepRow[] => rows.map((row, index) => ({ score: 1, ...row, index })) as unknown as SweepRow[];

test('a front gathered in parts is the front of all, and the others are the rest', () => {
  fc.assert(
    fc.property(anyRows, fc.integer({ min: 0, max: 60 }), (list, cut) => {
      const rows = numbered(list);
      const gathering = createFrontGathering(objectives);
      gathering.add(rows.slice(0, cut));
      gathering.front(); // a look in between changes nothing
      gathering.add(rows.slice(cut));
      const { front, others } = gathering.front();
      expect(front).toEqual(frontOf(rows, objectives));
      expect(new Set([...front, ...others])).toEqual(new Set(rows));
    }),
  );
});

test('of very many rows the front is whole and the others are thinned evenly', () => {
  const rows = numbered(Array.from({ length: 100_000 }, (_, i) => ({ settlingTimeS: i % 1_000, stallMarginRpm: (i * 7919) % 10_007, stalled: false })));
  const gathering = createFrontGathering(objectives);
  for (let i = 0; i < rows.length; i += 300) gathering.add(rows.slice(i, i + 300));
  const { front, others } = gathering.front();
  expect(front).toEqual(frontOf(rows, objectives));
  expect(others.length).toBeGreaterThan(2_000);
  expect(others.length).toBeLessThanOrEqual(4_096);
  expect(new Set(others.map(({ index }) => Math.floor(index / 10_000))).size).toBe(10);
});
