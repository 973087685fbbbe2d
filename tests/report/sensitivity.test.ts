import { describe, expect, test } from 'vitest';
import { plain } from '../../src/report/index.js';
import { sensitivityCharts } from '../../src/report/sensitivity.js';
import { sensitivityCsv, sensitivityObject } from '../../src/report/sensitivity-files.js';
import { type Objective, OBJECTIVES } from '../../src/search/objectives.js';
import type { SensitivityResult } from '../../src/search/sensitivity.js';

const objective = (name: string): Objective => OBJECTIVES.find(({ option }) => option === name)!;
const range = (key: string) => ({ key, unit: 's', spacing: 'linear' as const, lo: 1, hi: 2, integer: false });
const share = (value: number, by = 0.05) => ({ value, low: value - by, high: value + by });
const head = { scenarios: ['one'], ranges: ['engine.a', 'engine.b', 'controller.c'].map(range), samples: 64, seed: 1, total: 320, done: 320, stalled: 0 };
const sobol: SensitivityResult = {
  ...head, method: 'sobol',
  metrics: [
    {
      objective: objective('sag'), absent: 0, reason: null,
      result: {
        kind: 'sobol', mean: 120, variance: 400,
        indices: [{ first: share(0.1), total: share(0.3), used: 64 }, { first: share(0.6), total: share(0.8), used: 64 }, { first: share(-0.01), total: share(0.01), used: 64 }],
      },
    },
    { objective: objective('hunting'), absent: 320, reason: 'too short, to tell', result: { kind: 'none', reason: '0 of 64 base points have it; 8 at least are wanted' } },
  ],
};
const effect = (mean: number, size: number, scatter: number) => ({ mean, size: share(size, 1), scatter, used: 10 });
const morris: SensitivityResult = {
  ...head, method: 'morris', stalled: 3,
  metrics: [{ objective: objective('settling'), absent: 12, reason: 'never settled', result: { kind: 'morris', indices: [effect(-4, 4, 0.1), effect(1, 3.5, 3), null] } }],
};

describe('the charts', () => {
  test.each([60, 80, 120])('stay within %i columns, and colour changes no cell', (columns) => {
    for (const result of [sobol, morris]) {
      const lines = sensitivityCharts(result, { columns, colour: false });
      for (const line of lines) expect([...line].length).toBeLessThanOrEqual(columns);
      expect(sensitivityCharts(result, { columns, colour: true }).map(plain)).toEqual(lines);
    }
  });

  test('rank by the share in all, solid for what a setting does alone', () => {
    const lines = sensitivityCharts(sobol, { columns: 80, colour: false });
    const bars = lines.filter((line) => /^[abc] /.test(line) && line.includes('%'));
    expect(bars.map((line) => line[0])).toEqual(['b', 'a', 'c']);
    const count = (line: string, glyph: string): number => [...line].filter((each) => each === glyph).length;
    const [b, a, c] = bars as [string, string, string];
    expect(b).toMatch(/80 % +75 … 85 +60 %$/);
    expect(count(b, '█') / (count(b, '█') + count(b, '░'))).toBeCloseTo(0.75, 1);
    expect((count(a, '█') + count(a, '░')) / (count(b, '█') + count(b, '░'))).toBeCloseTo(0.375, 1);
    expect(count(c, '█')).toBe(0);
    expect(lines.join('\n').replace(/\n {2}/g, ' ')).toMatch(/Mean 120 rpm, standard deviation 20 rpm\. b decides most\. c hardly counts over its range\./);
  });

  test('say why a metric has no indices, what was left out, and that a stall outweighs the rest', () => {
    const said = (result: SensitivityResult): string => sensitivityCharts(result, { columns: 200, colour: false }).join('\n');
    expect(said(sobol)).toContain('no indices: 0 of 64 base points have it; 8 at least are wanted; absent in 320 of 320 runs, first because too short, to tell');
    expect(said(morris)).toMatch(/Absent in 12 of 320 runs, first because never settled; effects that need one of these are left out/);
    expect(said(morris)).toMatch(/3 of 320 runs stall/);
    expect(said(morris)).toMatch(/^c .*–/m);
  });

  test('say which way an effect goes, and that an order is open where intervals overlap', () => {
    const text = sensitivityCharts(morris, { columns: 120, colour: false }).join('\n');
    expect(text).toMatch(/^a .* lowers$/m);
    expect(text).toMatch(/^b .* either$/m);
    expect(text).toMatch(/a or b decides most: the intervals overlap/);
  });
});

describe('files', () => {
  test('of comma-separated values have a line a metric and key, absent numbers empty', () => {
    const lines = [...sensitivityCsv(sobol)];
    expect(lines[0]).toBe('metric,unit,key,first,firstLow,firstHigh,total,totalLow,totalHigh,used,absent,reason');
    expect(lines).toHaveLength(7);
    expect(lines[2]).toBe(`sag,rpm,engine.b,0.6,${0.6 - 0.05},${0.6 + 0.05},0.8,0.75,${0.8 + 0.05},64,0,`);
    expect(lines[4]).toBe('hunting,rpm,engine.a,,,,,,,0,320,0 of 64 base points have it; 8 at least are wanted');
    expect([...sensitivityCsv(morris)][3]).toBe('settling,s,controller.c,,,,,,0,12,never settled');
  });

  test('of JSON hold every number, and null with a reason', () => {
    const object = JSON.parse(JSON.stringify(sensitivityObject(sobol))) as { complete: boolean; metrics: { metric: string; reason: string | null; keys: Record<string, unknown>[] }[] };
    expect(object.complete).toBe(true);
    expect(object.metrics[0]).toMatchObject({ metric: 'sag', reason: null, mean: 120, keys: [{ key: 'engine.a', total: 0.3 }, { first: 0.6 }, { first: -0.01 }] });
    expect(object.metrics[1]).toMatchObject({ metric: 'hunting', absent: 320, keys: [{ total: null, used: 0 }, {}, {}] });
    expect(object.metrics[1]!.reason).toMatch(/base points/);
  });
});
