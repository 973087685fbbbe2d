import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { build } from 'esbuild';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { Scenario } from '../../src/scenario/index.js';
import { findObjective, type Objective, OBJECTIVES } from '../../src/search/objectives.js';
import { readRanges } from '../../src/search/sampling/index.js';
import { sensitivity, type SensitivityOptions, type SensitivityResult } from '../../src/search/sensitivity.js';
import { createMorrisRuns, morrisEffect, morrisIndices } from '../../src/search/sensitivity-morris.js';
import { createSobolRuns, interval, sobolIndices, sobolRuns } from '../../src/search/sensitivity-sobol.js';
import { oneDrill } from './suite.js';

const sobolOf = (cost: (point: Float64Array) => number | null, inputs: number, bases: number, seed = 1) => {
  const at = createSobolRuns(inputs, seed);
  return sobolIndices(Array.from({ length: bases * sobolRuns(inputs) }, (_, run) => cost(at(run))), inputs, seed);
};
const whole = <T>(found: T | string): T => {
  if (typeof found === 'string') throw new Error(found);
  return found;
};

describe('Sobol’ indices', () => {
  test('of a linear model are the shares of the squares of its factors, alone and in all', () => {
    const factors = [4, 2, 1, 0];
    const squares = factors.reduce((sum, c) => sum + c * c, 0);
    const found = whole(sobolOf((point) => point.reduce((sum, u, i) => sum + factors[i]! * u, 100), 4, 4096));
    expect(found.variance).toBeCloseTo(squares / 12, 2);
    found.indices.forEach(({ first, total, used }, i) => {
      expect(used).toBe(4096);
      expect(Math.abs(first!.value - factors[i]! ** 2 / squares)).toBeLessThan(0.003);
      expect(Math.abs(total!.value - factors[i]! ** 2 / squares)).toBeLessThan(0.003);
      expect(total!.low).toBeLessThanOrEqual(total!.value);
      expect(total!.high).toBeGreaterThanOrEqual(total!.value);
    });
    expect(found.indices[3]!.total!.value).toBe(0);
  });

  test('of a product about nothing are all in the interaction', () => {
    const { indices } = whole(sobolOf(([x = 0, y = 0]) => (x - 0.5) * (y - 0.5), 2, 2048));
    for (const { first, total } of indices) {
      expect(Math.abs(first!.value)).toBeLessThan(0.03);
      expect(total!.value).toBeCloseTo(1, 1);
    }
  });

  test('take runs that differ from A in one input alone, and that from B', () => {
    const at = createSobolRuns(3, 9);
    const [a, b] = [at(5), at(6)];
    for (const i of [0, 1, 2]) expect([...at(7 + i)]).toEqual([...a].with(i, b[i]!));
  });

  test('leave out base points that lack a result, and say how many are left', () => {
    const every = whole(sobolOf(([x = 0, y = 0]) => 3 * x + y, 2, 512));
    const some = whole(sobolOf(([x = 0, y = 0]) => (y > 0.9 ? null : 3 * x + y), 2, 512));
    expect(some.indices[0]!.used).toBeLessThan(450);
    expect(some.indices[0]!.used).toBeGreaterThan(350);
    expect(some.indices[0]!.total!.value).toBeGreaterThan(every.indices[0]!.total!.value); // the second has less to say
  });

  test('are none where too few have a result, or it does not vary, with the reason', () => {
    expect(sobolOf(() => 3, 2, 64)).toBe('it does not vary');
    expect(sobolOf(() => 0, 2, 64)).toBe('it does not vary');
    expect(sobolOf(() => null, 2, 64)).toMatch(/0 of 64 base points have it/);
    expect(() => sobolIndices([1, 2, 3], 2, 1)).toThrow(RangeError);
    expect(() => createSobolRuns(21, 1)).toThrow(/21 inputs; from 1 to 20/);
  });
});

test('an interval leaves out 2.5 of 100 on either side', () => {
  expect(interval(Array.from({ length: 1001 }, (_, i) => (i * 10) % 1001))).toEqual({ low: 25, high: 975 });
});

describe('Morris’s effects', () => {
  test('step each input once a trajectory, by two thirds, within the cube, on four levels', () => {
    const at = createMorrisRuns(4, 3);
    for (let t = 0; t < 50; t++) {
      const points = Array.from({ length: 5 }, (_, k) => at(5 * t + k));
      const stepped = points.slice(1).map((point, k) => [0, 1, 2, 3].filter((i) => point[i] !== points[k]![i]));
      expect(stepped.flat().sort()).toEqual([0, 1, 2, 3]);
      points.slice(1).forEach((point, k) => expect(Math.abs(point[stepped[k]![0]!]! - points[k]![stepped[k]![0]!]!)).toBeCloseTo(2 / 3, 12));
      for (const u of points.flatMap((point) => [...point])) expect(Math.min(...[0, 1 / 3, 2 / 3, 1].map((level) => Math.abs(u - level)))).toBeLessThan(1e-12);
    }
  });

  test('that lack a run are left out; fewer than four give none', () => {
    const at = createMorrisRuns(2, 3);
    const results = Array.from({ length: 30 }, (_, run) => (run < 3 ? null : 5 * at(run)[0]! - at(run)[1]!));
    expect(morrisIndices(results, 2, 3)).toMatchObject([{ used: 9, mean: expect.closeTo(5, 10) }, { used: 9, mean: expect.closeTo(-1, 10), size: { value: expect.closeTo(1, 10) } }]);
    expect(morrisIndices(results.slice(0, 12), 2, 3)).toEqual([null, null]);
    expect(() => morrisEffect([1])).toThrow(RangeError);
  });
});

describe('a suite', () => {
  const folder = mkdtempSync(join(tmpdir(), 'tickover-sensitivity-'));
  const workerUrl = pathToFileURL(join(folder, 'worker.mjs'));
  let suite: readonly Scenario[];
  beforeAll(async () => {
    suite = await oneDrill();
    await build({
      entryPoints: [fileURLToPath(new URL('../../src/search/worker.ts', import.meta.url))],
      outfile: fileURLToPath(workerUrl), bundle: true, platform: 'node', format: 'esm', logLevel: 'silent',
    });
  }, 60_000);
  afterAll(() => rmSync(folder, { recursive: true, force: true }));

  const analyse = (given: Partial<SensitivityOptions> = {}): Promise<SensitivityResult> => sensitivity({
    scenarios: suite, ranges: readRanges(['engine.inertia=0.08:0.3', 'controller.pid.kp=0.005:0.08:log', 'controller.pid.trackingTime=0.2:2'], suite).ranges ?? [],
    method: 'morris', samples: 6, seed: 1, objectives: OBJECTIVES.filter(({ option }) => ['score', 'sag', 'hunting'].includes(option)), jobs: 1, workerUrl, ...given,
  });

  test('gives the same on any number of workers', async () => {
    const [one, two] = await Promise.all([analyse(), analyse({ jobs: 2 })]);
    expect(one.ranges).toHaveLength(3);
    expect(two).toEqual(one);
    expect([one.done, one.total]).toEqual([24, 24]);
  });

  test('says of each metric how many runs lack it and why', async () => {
    const { metrics, done } = await analyse();
    for (const { result, absent, reason } of metrics) {
      expect(absent === 0).toBe(reason === null);
      if (absent === done) expect(result.kind).toBe('none');
    }
    const sag = metrics.find(({ objective }) => objective.option === 'sag')!;
    expect(sag).toMatchObject({ absent: 0, result: { kind: 'morris' } });
  });

  test('finds that a load’s sag hangs on the inertia and falls with it, and not at all on the time of a back-calculation that is off', async () => {
    const { metrics } = await analyse({ samples: 8 });
    const { result } = metrics.find(({ objective }) => objective.option === 'sag')!;
    if (result.kind !== 'morris') throw new Error('no effects');
    const [inertia, kp, tracking] = result.indices;
    expect(inertia!.mean).toBeLessThan(0);
    expect(Math.min(inertia!.size.value, kp!.size.value)).toBeGreaterThan(5);
    expect(tracking).toMatchObject({ mean: 0, size: { value: 0 }, scatter: 0 });
  });

  test('works out what is finished when it is ended early', async () => {
    const stop = new AbortController();
    const result = await analyse({ samples: 50, signal: stop.signal, onProgress: ({ done }) => done > 30 && stop.abort() });
    expect(result.done).toBeGreaterThan(30);
    expect(result.done).toBeLessThan(result.total);
    expect(result.metrics.find(({ objective }) => objective.option === 'sag')!.result.kind).toBe('morris');
  });

  test('refuses what cannot be run', async () => {
    await expect(analyse({ samples: 0 })).rejects.toThrow(/samples: 0/);
    await expect(analyse({ samples: 100_000 })).rejects.toThrow(/400000 runs; at most 200000/);
    await expect(analyse({ ranges: [] })).rejects.toThrow(RangeError);
    await expect(analyse({ jobs: 0 })).rejects.toThrow(/jobs: 0/);
  });
});

test('metrics are found by name, and a wrong name is told the right one', () => {
  expect((findObjective(' stall-margin ') as Objective).name).toBe('stallMarginRpm');
  expect(findObjective('setling')).toMatch(/no such metric; there are score, settling, .*did you mean settling\?/);
  expect(findObjective('')).toMatch(/a metric is missing/);
});
