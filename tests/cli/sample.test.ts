/** `tickover sweep --sample` and `--front`. */
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeAll, describe, expect, test } from 'vitest';
import { build, BUILD_MS, expectWithin, refused, scratch, SHORT, tickover } from './tickover.js';

beforeAll(build, BUILD_MS);
const { path: folder, put } = scratch();
const short = put('short.yaml', SHORT);
const RANGES = ['--vary', 'controller.pid.kp=0.005:0.08:log', '--vary', 'engine.inertia=0.1:0.3'];
const at = (name: string): string => join(folder, name);

interface Swept {
  readonly total: number;
  readonly rows: readonly { readonly score: number; readonly values: Readonly<Record<string, number>>; readonly sagRpm: number; readonly stallMarginRpm: number }[];
  readonly front?: { readonly objectives: readonly string[]; readonly indices: readonly number[] };
}
const swept = async (...args: readonly string[]): Promise<Swept> => JSON.parse((await tickover(['sweep', short, ...args, '--json'])).out) as Swept;

describe('--sample', () => {
  test('runs so many points within the ranges, the same for any number of workers, others for another seed', async () => {
    const [one, two, seeded, random] = await Promise.all([
      swept(...RANGES, '--sample', '12'),
      swept(...RANGES, '--sample', '12', '--jobs', '2'),
      swept(...RANGES, '--sample', '12', '--seed', '2'),
      swept(...RANGES, '--sample', '12', '--random'),
    ]);
    expect(two).toEqual(one);
    const points = (of: Swept): string => JSON.stringify(of.rows.map(({ values }) => values));
    expect(new Set([one, seeded, random].map(points)).size).toBe(3);
    expect([one.total, one.rows.length]).toEqual([12, 12]);
    for (const { rows } of [one, seeded, random]) {
      for (const { values } of rows) {
        expect(values['controller.pid.kp']).toBeGreaterThanOrEqual(0.005);
        expect(values['controller.pid.kp']).toBeLessThanOrEqual(0.08);
        expect(values['engine.inertia']).toBeGreaterThanOrEqual(0.1);
        expect(values['engine.inertia']).toBeLessThanOrEqual(0.3);
      }
    }
    // evenly spread: of eight points, each quarter of a range has two
    const quarters = one.rows.slice(0, 8).map(({ values }) => Math.floor(((values['engine.inertia']! - 0.1) / 0.2) * 4));
    expect([0, 1, 2, 3].map((quarter) => quarters.filter((q) => q === quarter).length)).toEqual([2, 2, 2, 2]);
  });

  test('is kept, cut, resumed, sharded and merged as a grid is', async () => {
    const args = ['sweep', short, ...RANGES, '--sample', '9'];
    const whole = await tickover([...args, '--out', at('whole.jsonl')]);
    expect(whole.out).not.toMatch(/◆/);
    const text = readFileSync(at('whole.jsonl'), 'utf8');
    const cut = put('cut.jsonl', text.slice(0, text.length - 700));
    expect((await tickover([...args, '--resume', cut])).out).toBe(whole.out);
    expect(readFileSync(cut, 'utf8')).toBe(text);
    await Promise.all([1, 2].map((i) => tickover([...args, '--shard', `${i}/2`, '--out', at(`${i}.jsonl`)])));
    expect(await tickover(['merge', at('1.jsonl'), at('2.jsonl'), '--out', at('both.jsonl')])).toEqual(whole);
    expect(readFileSync(at('both.jsonl'), 'utf8')).toBe(text);
    await refused([...args, '--resume', cut, '--seed', '5'], /--sample: not the same/);
    await refused(['sweep', short, ...RANGES, '--sample', '10', '--resume', cut], /--sample: not the same/);
  });

  test.each([
    [['--vary', 'engine.inertia=0.1:0.3:5', '--sample', '8'], /a range is wanted here, and no list or grid/],
    [['--vary', 'engine.inertia=0.1,0.3', '--sample', '8'], /a range is wanted here/],
    [['--vary', 'engine.inertia=0.1:0.3', '--sample', '0'], /--sample: 0 is no whole number from 1/],
    [['--vary', 'engine.inertia=0.1:0.3', '--sample', '2000000'], /--sample: 2000000 is no whole number from 1 to 1000000/],
    [['--vary', 'engine.inertia=0.1:0.3', '--sample', '8', '--seed', '-1'], /--seed: -1 is no whole number/],
    [['--vary', 'engine.inertia=0.1:0.3', '--sample', '8', '--seed', '1e300'], /--seed: 1e300 is no whole number/],
    [['--vary', 'engine.inertia=0.1:0.3:5', '--seed', '1'], /--seed: belongs to --sample/],
    [['--vary', 'engine.inertia=0.1:0.3:5', '--random'], /--random: belongs to --sample/],
    [['--vary', 'engine.inertia=0.3:0.1', '--sample', '8'], /engine\.inertia/],
    [['--vary', 'engine.inertai=0.1:0.3', '--sample', '8'], /did you mean engine\.inertia\?/],
  ] as const)('%j is refused', async (args, message) => {
    await refused(['sweep', short, ...args], message);
  });
});

describe('--front', () => {
  test('shows what no other betters in both, from a sweep and from its store', async () => {
    const args = [...RANGES, '--sample', '30', '--front', 'sag,stall-margin'];
    const { rows, front } = await swept(...args);
    expect(front!.objectives).toEqual(['sagRpm', 'stallMarginRpm']);
    for (const [i, row] of rows.entries()) {
      const better = rows.some((other) => other.sagRpm <= row.sagRpm && other.stallMarginRpm >= row.stallMarginRpm && (other.sagRpm < row.sagRpm || other.stallMarginRpm > row.stallMarginRpm));
      expect(front!.indices.includes(i)).toBe(!better);
    }
    const page = await tickover(['sweep', short, ...args, '--out', at('front.jsonl')]);
    expect(page.out.replace(/\s+/g, ' ')).toMatch(/The front: \d+ settings? of 30 that no other betters in sag without giving way in stall margin/);
    expectWithin(page.out, 80);
    expect((await tickover(['merge', at('front.jsonl'), '--front', 'sag,stall-margin'])).out).toBe(page.out);
  });

  test.each([
    ['sag', /two metrics are wanted, such as settling,stall-margin/],
    ['sag,sag', /two different metrics/],
    ['sag,flare,hunting', /two metrics are wanted/],
    ['sag,flaree', /flaree: no such metric; there are .*did you mean flare\?/],
    ['', /two metrics are wanted/],
  ])('%j is refused', async (front, message) => {
    await refused(['sweep', short, '--vary', 'engine.inertia=0.1,0.2', '--front', front], message);
  });
});
