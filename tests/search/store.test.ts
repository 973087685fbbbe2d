/** The form of a store, shards and their joining. */
import fc from 'fast-check';
import { beforeAll, describe, expect, test } from 'vitest';
import type { Scenario } from '../../src/scenario/index.js';
import {
  cellsIn, cellsOf, createOrder, headerLine, mergedHeader, mergedRows, mergeProblems, parseShard, type Part, readAxes, readHeader, readRow, rowLine, type Shard, shardCells,
  STORE_START, storeDifferences, type StoreHeader, storeHeader, sweep, type SweepRow, WHOLE, type Work, workOf,
} from '../../src/search/index.js';
import { oneDrill, twoDrills } from './suite.js';

let one: readonly Scenario[];
let work: Work;
let rows: readonly SweepRow[];

beforeAll(async () => {
  one = await oneDrill();
  work = workFor(one, 'controller.pid.kp=0.01:0.04:3', 'drill.events.0.torque=6,80');
  ({ rows } = await sweep({ ...work, jobs: 1 }));
});

function workFor(scenarios: readonly Scenario[], ...texts: string[]): Work {
  const { axes, problems } = readAxes(texts, scenarios);
  expect(problems).toEqual([]);
  return { scenarios, axes: axes! };
}

const header = (shard: Shard = WHOLE, of: Work = work, program = '1.2.3'): StoreHeader => storeHeader(of, shard, program);
const parsed = (line: string): StoreHeader => {
  const result = readHeader(line);
  expect(typeof result).toBe('object');
  return result as StoreHeader;
};

describe('a store', () => {
  test('comes back from its text as it went in: header, work and rows, stalls among them', () => {
    const there = header();
    expect(headerLine(there).startsWith(STORE_START)).toBe(true);
    expect(parsed(headerLine(there))).toStrictEqual(there);
    expect(workOf(parsed(headerLine(there)))).toStrictEqual(work);
    expect(rows.map((row) => readRow(rowLine(row), row.index))).toStrictEqual(rows);
    expect(rows.some(({ stalled }) => stalled)).toBe(true);
    expect(headerLine(there).trimEnd()).not.toContain('\n');
  });

  test('refuses a first line that is damaged, changed, or of another format', () => {
    const line = headerLine(header());
    expect(readHeader(line.slice(0, -20))).toBe('the first line is damaged');
    expect(readHeader(line.replace('"kp":0.0', '"kp":0.1'))).toMatch(/its hash does not match/);
    expect(readHeader(line.replace('"version":1', '"version":7'))).toBe('a store of format 7; this program reads and writes format 1');
  });

  test('refuses a row in another one’s place', () => {
    expect(readRow(rowLine(rows[2]!), 1)).toBe('holds cell 2 where cell 1 must follow');
    expect(readRow('{"index":', 1)).toMatch(/damaged/);
    for (const text of ['null', '7', '{}', '[]']) expect(readRow(text, 1)).toMatch(/without a number/);
  });

  test('has one hash for the same sweep, whatever the shard, and another for any other', async () => {
    const others = [
      header(WHOLE, work, '1.2.4'),
      header(WHOLE, workFor(one, 'controller.pid.kp=0.01:0.04:3', 'drill.events.0.torque=6,81')),
      header(WHOLE, workFor(one.map((scenario) => ({ ...scenario, run: { ...scenario.run, seed: 9 } })), 'controller.pid.kp=0.01:0.04:3', 'drill.events.0.torque=6,80')),
      header(WHOLE, { ...work, design: { kind: 'points', points: [[0.01, 6]] } }),
      header(WHOLE, { ...work, scenarios: await twoDrills(), axes: work.axes.slice(0, 1) }),
    ];
    expect(header({ at: 2, of: 3 }).hash).toBe(header().hash);
    expect(new Set([header(), ...others].map(({ hash }) => hash)).size).toBe(1 + others.length);
    for (const other of others) expect(storeDifferences(header(), other)).not.toEqual([]);
    expect(storeDifferences(header(), header())).toEqual([]);
  });

  test('says in which number, value, shard or program another sweep differs', () => {
    const heavy = one.map((scenario) => ({ ...scenario, engine: { ...scenario.engine, inertia: 0.3 } }));
    expect(storeDifferences(header(), header(WHOLE, { ...work, scenarios: heavy as readonly Scenario[] }))).toEqual(['engine.inertia: 0.15 kg m^2 there, 0.3 kg m^2 here']);
    expect(storeDifferences(header(), header(WHOLE, { ...work, scenarios: one.map((scenario) => ({ ...scenario, title: 'else' })) }))).toEqual(['title: not the same']);
    const older = one.map(({ limits, ...scenario }) => ({ ...scenario, limits: { ...limits, gone: 1 } })) as unknown as readonly Scenario[];
    expect(storeDifferences({ ...header(), scenarios: older, hash: 'another' }, header())).toEqual(['only there: limits.gone']);
    expect(storeDifferences(header(), header({ at: 1, of: 2 }))).toEqual(['--shard: 1/1 there, 1/2 here']);
    expect(storeDifferences(header(), header(WHOLE, work, '2.0.0'))).toEqual(['program: version 1.2.3 there, 2.0.0 here']);
    const axes = workFor(one, 'controller.pid.kp=0.01:0.04:4', 'drill.events.0.torque=6,80').axes;
    expect(storeDifferences(header(), header(WHOLE, { ...work, axes }))).toEqual(['--vary controller.pid.kp: 0.01,0.025,0.04 there, 0.01,0.02,0.03,0.04 here']);
    expect(storeDifferences(header(), header(WHOLE, { ...work, axes: work.axes.slice(1) }))[0]).toBe('--vary: controller.pid.kp, drill.events.0.torque there, drill.events.0.torque here');
  });
});

describe('explicit points', () => {
  test('are run as cells, in their order, with a row each', async () => {
    const points = [[0.03, 6], [0.01, 7], [0.03, 6]];
    const result = await sweep({ ...work, design: { kind: 'points', points }, jobs: 1 });
    expect(result.total).toBe(3);
    expect(result.rows.map(({ values }) => values)).toEqual(points);
    expect(result.rows[2]!.score).toBe(result.rows[0]!.score);
    expect(result.rows[1]!.score).not.toBe(result.rows[0]!.score);
  });

  test('that do not match the keys are refused', async () => {
    await expect(sweep({ ...work, design: { kind: 'points', points: [[0.03, 6], [0.01]] }, jobs: 1 })).rejects.toThrow('cell 1: 1 numbers for 2 keys');
    expect(() => cellsOf({ ...work, design: { kind: 'points', points: [[1, 2]] } }).valuesOf(1)).toThrow('cell 1: there are 1');
  });
});

describe('shards', () => {
  test('have every cell once between them, and are as equal as can be', () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 300 }), fc.integer({ min: 1, max: 40 }), (total, of) => {
        const parts = Array.from({ length: of }, (_, i) => shardCells({ at: i + 1, of }, total));
        const cells = parts.flatMap(({ from, to, by }) => Array.from({ length: cellsIn({ from, to, by }) }, (_, k) => from + k * by));
        expect(cells.sort((a, b) => a - b)).toEqual(Array.from({ length: total }, (_, i) => i));
        const sizes = parts.map(cellsIn);
        expect(Math.max(...sizes) - Math.min(...sizes)).toBeLessThanOrEqual(1);
      }),
    );
  });

  test('are read from i/n, and nothing else is', () => {
    expect(parseShard('2/3')).toEqual({ at: 2, of: 3 });
    for (const text of ['0/3', '4/3', '1/0', '-1/3', '1.5/3', '1', '1/3/5', '', 'a/b', '1/1000000']) expect(typeof parseShard(text)).toBe('string');
  });
});

describe('merging', () => {
  const partOf = (at: number, of: number, change: Partial<Part> = {}): Part => {
    const { from, to, by } = shardCells({ at, of }, rows.length);
    const own = rows.filter(({ index }) => index >= from && index < to && (index - from) % by === 0);
    return { name: `p${at}`, header: header({ at, of }), count: own.length, rows: () => own, ...change };
  };

  test('gives the rows of the whole for any number of shards, in any order', () => {
    for (const of of [1, 2, 4, 5, 6]) {
      const parts = Array.from({ length: of }, (_, i) => partOf(i + 1, of)).reverse();
      expect(mergeProblems(parts)).toEqual([]);
      expect([...mergedRows(parts)]).toEqual(rows);
      expect(mergedHeader(parts)).toStrictEqual(header());
    }
  });

  test('names what is missing, twice, unfinished, cut otherwise, or of another sweep', () => {
    expect(mergeProblems([partOf(1, 4), partOf(3, 4)])).toEqual(['shards 2/4, 4/4 missing']);
    expect(mergeProblems([partOf(1, 2), partOf(2, 2), partOf(1, 2, { name: 'again' })])).toEqual(['again: shard 1/2 a second time; p1 is the first']);
    expect(mergeProblems([partOf(1, 2), partOf(2, 2, { count: 1 })])).toEqual(['p2: 1 of 3 cells; tickover sweep … --resume p2 runs the others']);
    expect(mergeProblems([partOf(1, 2), partOf(2, 3)])).toEqual(['p2: shard 2/3, where p1 is 1/2; a sweep is cut one way']);
    const other = header({ at: 2, of: 2 }, work, '9.9.9');
    expect(mergeProblems([partOf(1, 2), partOf(2, 2, { header: other })])).toEqual(['p2: another sweep than p1', '  program: version 1.2.3 in p1, 9.9.9 in p2']);
  });
});

test('rows that come in any order are handed on in that of their cells, each once', () => {
  fc.assert(
    fc.property(fc.integer({ min: 1, max: 5 }), fc.integer({ min: 0, max: 4 }), fc.shuffledSubarray(Array.from({ length: 30 }, (_, i) => i), { minLength: 30 }), (by, from, order) => {
      const written: number[] = [];
      const inOrder = createOrder({ from, by }, (ready) => {
        expect(ready.length).toBeGreaterThan(0);
        written.push(...ready.map(({ index }) => index));
      });
      for (const place of order) {
        inOrder([{ index: from + place * by } as SweepRow]);
        expect(written).toEqual(Array.from({ length: written.length }, (_, i) => from + i * by));
      }
      expect(written).toHaveLength(30);
    }),
  );
});
