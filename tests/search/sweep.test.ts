import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { build } from 'esbuild';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { simulate } from '../../src/loop/simulate.js';
import { type Scenario, withValues } from '../../src/scenario/index.js';
import { scoreTrace } from '../../src/score/index.js';
import { type Axis, csvLines, evaluate, jsonLines, readAxes, sweep, SweepError, type SweepOptions, type SweepResult } from '../../src/search/index.js';
import { oneDrill, twoDrills } from './suite.js';

const folder = mkdtempSync(join(tmpdir(), 'tickover-search-'));
const workerUrl = pathToFileURL(join(folder, 'worker.mjs'));
let one: readonly Scenario[];
let two: readonly Scenario[];

beforeAll(async () => {
  [one, two] = await Promise.all([oneDrill(), twoDrills()]);
  await build({
    entryPoints: [fileURLToPath(new URL('../../src/search/worker.ts', import.meta.url))],
    outfile: fileURLToPath(workerUrl), bundle: true, platform: 'node', format: 'esm', logLevel: 'silent',
  });
}, 60_000);
afterAll(() => rmSync(folder, { recursive: true, force: true }));

function axesOf(suite: readonly Scenario[], ...texts: string[]): readonly Axis[] {
  const { axes, problems } = readAxes(texts, suite);
  expect(problems).toEqual([]);
  return axes!;
}

const run = (suite: readonly Scenario[], texts: readonly string[], options: Partial<SweepOptions> = {}): Promise<SweepResult> =>
  sweep({ scenarios: suite, axes: axesOf(suite, ...texts), jobs: 1, workerUrl, ...options });

/** A worker of one's own. */
function workerOf(name: string, body: string): URL {
  const path = join(folder, `${name}.mjs`);
  writeFileSync(path, `export async function evaluateStretch({ from, to }) { ${body} }\n`);
  return pathToFileURL(path);
}

const failure = async (promise: Promise<unknown>): Promise<SweepError> => {
  const error = await promise.then(() => null, (e: unknown) => e);
  expect(error).toBeInstanceOf(SweepError);
  return error as SweepError;
};

const GAINS = ['controller.pid.kp=0:0.04:4', 'controller.pid.ki=0.005:0.08:5:log'];

describe('a sweep', () => {
  test('runs every cell once, in the order of the grid, as a run by hand does', async () => {
    const result = await run(one, GAINS);
    expect(result).toMatchObject({ total: 20, complete: true, scenarios: ['short, load on'] });
    expect(result.rows.map(({ index }) => index)).toEqual(Array.from({ length: 20 }, (_, i) => i));
    const row = result.rows[7]!;
    const byHand = withValues(one[0]!, new Map([['controller.pid.kp', row.values[0]!], ['controller.pid.ki', row.values[1]!]]));
    const { score, metrics } = scoreTrace(simulate(byHand), byHand.limits, byHand.scoring);
    expect(row).toMatchObject({ score, sagRpm: metrics.sagRpm, settlingTimeS: metrics.settlingTimeS, stallMarginRpm: metrics.stallMarginRpm });
    expect(new Set(result.rows.map((r) => r.score)).size).toBeGreaterThan(15);
  });

  test('ranks by score', async () => {
    const { rows, ranking } = await run(one, GAINS);
    const scores = ranking.map((place) => rows[place]!.score!);
    expect([...ranking].sort((a, b) => a - b)).toEqual(rows.map((_, i) => i));
    expect(scores).toEqual([...scores].sort((a, b) => a - b));
  });

  test('gives the starting point as it is, with what the keys are now', async () => {
    const { starting } = await run(one, ['engine.inertia=0.1,0.2']);
    expect(starting.values).toEqual([0.15]);
    expect(starting).toMatchObject(evaluate(one, new Map()));
  });

  test('scores a suite by the mean of its scenarios and shows the worst numbers', async () => {
    const { rows } = await run(two, ['controller.pid.kp=0.01,0.02']);
    for (const row of rows) {
      const values = new Map([['controller.pid.kp', row.values[0]!]]);
      const apart = two.map((scenario) => evaluate([scenario], values));
      expect(row.score).toBeCloseTo((apart[0]!.score! + apart[1]!.score!) / 2, 12);
      expect(row.sagRpm).toBe(Math.max(...apart.map((a) => a.sagRpm!)));
      expect(row.stallMarginRpm).toBe(Math.min(...apart.map((a) => a.stallMarginRpm!)));
    }
  });

  test('marks a cell that stalls and ranks it last, even where a stall is charged nothing', async () => {
    const free = one.map(({ scoring, ...scenario }) => {
      const weights = Object.fromEntries(Object.keys(scoring.weights).map((name) => [name, 0])) as typeof scoring.weights;
      return { ...scenario, scoring: { ...scoring, stall: 0, weights } };
    });
    for (const suite of [one, free]) {
      const { rows, ranking } = await run(suite, ['drill.events.0.torque=80,6,2']);
      expect(rows.map(({ stalled }) => stalled)).toEqual([true, false, false]);
      expect(ranking.at(-1)).toBe(0);
      expect(rows[0]!.stallTimeS).toBeGreaterThan(1);
      expect(rows[0]).toMatchObject({ settlingTimeS: null, reasons: { settlingTimeS: 'load: the engine stalls' } });
      expect(rows[1]).toMatchObject({ stallTimeS: null });
      if (suite === free) expect(rows.map(({ score }) => score)).toEqual([0, 0, 0]);
    }
  });

  test('names the limits that a cell misses', async () => {
    const limited = one.map((scenario) => ({ ...scenario, limits: { ...scenario.limits, sagRpm: 60 } }));
    const { rows } = await run(limited, ['drill.events.0.torque=0.2,12']);
    expect(rows.map(({ missed }) => missed)).toEqual([[], ['sagRpm']]);
  });

  test('keeps going past a cell whose values contradict each other, and says why', async () => {
    const { rows, ranking, complete } = await run(one, ['controller.clamp.lowest=10,60', 'controller.clamp.highest=90,50']);
    expect(complete).toBe(true);
    const bad = rows.filter(({ score }) => score === null);
    expect(bad.map(({ values }) => values)).toEqual([[60, 50]]);
    expect(bad[0]!.reason).toContain('controller.clamp.');
    expect(bad[0]).toMatchObject({ stalled: false, sagRpm: null, reasons: { sagRpm: 'not run' } });
    expect(ranking.at(-1)).toBe(rows.indexOf(bad[0]!));
  });

  test('tells how far it is, up to the end', async () => {
    const seen: number[] = [];
    await run(one, GAINS, { onProgress: ({ done, total }) => void (expect(total).toBe(20), seen.push(done)) });
    expect(seen).toEqual([...new Set(seen)].sort((a, b) => a - b));
    expect(seen.at(-1)).toBe(20);
  });

  test('refuses what is no number of jobs, nothing to vary, and an unknown key', async () => {
    for (const jobs of [0, 1.5, -1, 257, Number.NaN]) await expect(run(one, GAINS, { jobs })).rejects.toThrow(RangeError);
    await expect(sweep({ scenarios: one, axes: [], jobs: 1 })).rejects.toThrow('at least one');
    const axes: Axis[] = [{ key: 'engine.inertai', unit: '', spacing: 'list', values: [1] }];
    await expect(sweep({ scenarios: one, axes, jobs: 1 })).rejects.toThrow('did you mean engine.inertia?');
  });
});

describe('workers', () => {
  test('any number of jobs gives the same bytes', async () => {
    const texts = [...GAINS, 'drill.events.0.torque=6,80'];
    const [serial, parallel, more] = [await run(one, texts), await run(one, texts, { jobs: 2 }), await run(one, texts, { jobs: 3 })];
    for (const lines of [jsonLines, csvLines]) {
      const bytes = [...lines(serial)].join('\n');
      expect([...lines(parallel)].join('\n')).toBe(bytes);
      expect([...lines(more)].join('\n')).toBe(bytes);
    }
    expect(parallel).toStrictEqual(serial);
  }, 60_000);

  test('a worker that ends gives an error that names its cells and keeps what was finished', async () => {
    const error = await failure(run(one, GAINS, { jobs: 2, workerUrl: workerOf('ends', 'process.exit(3);') }));
    expect(error.message).toMatch(/^sweep: the worker that ran cells? \d+( to \d+)? failed: .*code: 3; \d+ of 20 cells were finished$/);
    expect(error.result).toMatchObject({ total: 20, complete: false, rows: [] });
  });

  test('a worker that throws gives its message', async () => {
    const error = await failure(run(one, GAINS, { jobs: 2, workerUrl: workerOf('throws', 'throw new TypeError("no such thing");') }));
    expect(error.message).toContain('no such thing');
    expect(error.cause).toBeInstanceOf(Error);
  });

  test('a worker that fails in the middle leaves what was finished before, and says how much that is', async () => {
    const rows = 'Array.from({ length: to - from }, (_, i) => ({ index: from + i, score: 1 }))';
    for (const fails of ['process.exit(3)', 'throw new Error("no more")']) {
      const error = await failure(run(one, GAINS, { jobs: 2, workerUrl: workerOf(`late-${fails.length}`, `if (from >= 12) { await new Promise((r) => setTimeout(r, 300)); ${fails}; } return ${rows};`) }));
      const indices = error.result.rows.map(({ index }) => index);
      expect(indices.length).toBeGreaterThanOrEqual(3); // the stretch that fails is handed out once another is back
      expect(indices).toEqual([...new Set(indices)].sort((a, b) => a - b).filter((index) => index < 12));
      expect(error.message).toContain(`${indices.length} of 20 cells were finished`);
    }
  });

  test('a worker file that is not there, or no JavaScript, gives an error and does not hang', async () => {
    const missing = pathToFileURL(join(folder, 'nowhere.mjs'));
    expect((await failure(run(one, GAINS, { jobs: 2, workerUrl: missing }))).message).toContain('nowhere.mjs');
    writeFileSync(join(folder, 'broken.mjs'), 'export function (');
    await failure(run(one, GAINS, { jobs: 2, workerUrl: pathToFileURL(join(folder, 'broken.mjs')) }));
  });
});

describe('ended early', () => {
  test('a sweep here keeps the rows it finished and says that they are not all', async () => {
    const control = new AbortController();
    const whole = await run(one, GAINS);
    const part = await run(one, GAINS, { signal: control.signal, onProgress: () => control.abort() });
    expect(part.complete).toBe(false);
    expect(part.rows.length).toBeGreaterThan(0);
    expect(part.rows.length).toBeLessThan(20);
    expect(part.rows).toEqual(whole.rows.slice(0, part.rows.length));
    expect(part.ranking).toHaveLength(part.rows.length);
  });

  test('a sweep here lets timers and signals have a turn between stretches', async () => {
    const control = new AbortController();
    setImmediate(() => control.abort());
    const { complete } = await run(one, ['controller.pid.kp=0:0.04:100'], { signal: control.signal });
    expect(complete).toBe(false);
  });

  test('a sweep on workers keeps the rows it finished', async () => {
    const control = new AbortController();
    const whole = await run(one, GAINS);
    const part = await run(one, GAINS, { jobs: 2, signal: control.signal, onProgress: () => control.abort() });
    expect(part.complete).toBe(false);
    expect(part.rows.length).toBeGreaterThan(0);
    expect(part.rows).toEqual(part.rows.map(({ index }) => whole.rows[index]));
  });

  test('a worker in the middle of a cell does not hold up the end', async () => {
    const control = new AbortController();
    setTimeout(() => control.abort(), 300);
    const part = await run(one, GAINS, { jobs: 2, signal: control.signal, workerUrl: workerOf('hangs', 'for (;;);') });
    expect(part).toMatchObject({ complete: false, rows: [] });
  });

  test('a sweep ended before it starts has its starting point alone', async () => {
    for (const jobs of [1, 2]) {
      const part = await run(one, GAINS, { jobs, signal: AbortSignal.abort() });
      expect(part).toMatchObject({ complete: false, rows: [], ranking: [] });
      expect(part.starting.score).toBeGreaterThan(0);
    }
  });

  test('an error in the caller’s progress is passed on with what was finished', async () => {
    for (const jobs of [1, 2]) {
      const error = await failure(run(one, GAINS, { jobs, onProgress: () => { throw new Error('the pipe is shut'); } }));
      expect(error.message).toContain('the pipe is shut');
      expect(error.result.rows.length).toBeGreaterThan(0);
    }
  });
});
