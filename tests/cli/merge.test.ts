/** `tickover sweep --shard` and `tickover merge`. */
import { spawnSync } from 'node:child_process';
import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeAll, describe, expect, test } from 'vitest';
import { build, BUILD_MS, refused, scratch, shell, SHORT, tickover } from './tickover.js';

beforeAll(build, BUILD_MS);
const { path: folder, put } = scratch();
const short = put('short.yaml', SHORT);
const GRID = ['--vary', 'controller.pid.kp=0.005:0.08:5:log', '--vary', 'controller.pid.ki=0,0.01,0.05'];
const at = (name: string): string => join(folder, name);
const shards = (of: number): string[] => Array.from({ length: of }, (_, i) => at(`${i + 1}-${of}.jsonl`));

const hasParallel = spawnSync('parallel', ['--version'], { encoding: 'utf8' }).stdout?.startsWith('GNU parallel') === true;

describe('shards of a sweep', () => {
  test('run apart and merged in any order come to the whole: store, page, JSON and CSV', async () => {
    const whole = await tickover(['sweep', short, ...GRID, '--out', at('whole.jsonl'), '--csv', at('whole.csv')]);
    const parts = shards(4);
    await Promise.all(parts.map((part, i) => tickover(['sweep', short, ...GRID, '--shard', `${i + 1}/4`, '--out', part])));
    const joined = await tickover(['merge', ...[...parts].reverse(), '--out', at('joined.jsonl'), '--csv', at('joined.csv')]);
    expect(joined).toEqual(whole);
    expect(readFileSync(at('joined.jsonl')).equals(readFileSync(at('whole.jsonl')))).toBe(true);
    expect(readFileSync(at('joined.csv'), 'utf8')).toBe(readFileSync(at('whole.csv'), 'utf8'));
    const objects = await Promise.all([tickover(['sweep', short, ...GRID, '--json']), tickover(['merge', ...parts, '--json']), tickover(['merge', at('joined.jsonl'), '--json'])]);
    expect(objects[1]).toEqual(objects[0]);
    expect(objects[2]).toEqual(objects[0]);
    const rest = await tickover(['sweep', short, ...GRID, '--resume', at('joined.jsonl')]);
    expect(rest.out).toBe(whole.out);
  });

  test('say that they are a part, in the page and in JSON', async () => {
    const { out } = await tickover(['sweep', short, ...GRID, '--shard', '2/4']);
    expect(out).toMatch(/^Shard 2\/4 alone: 4 of 15 cells; tickover merge joins them\.$/m);
    expect(out).toContain('blank: not reached (11 of 15 cells)');
    const { total, complete, rows } = JSON.parse((await tickover(['sweep', short, ...GRID, '--shard', '4/4', '--json'])).out) as { total: number; complete: boolean; rows: { index: number }[] };
    expect([total, complete, rows.map(({ index }) => index)]).toEqual([3, true, [3, 7, 11]]);
  });

  test.skipIf(!hasParallel)('run under GNU parallel as docs/scale.md has it (skipped where there is none)', async () => {
    const line = `parallel --jobs 2 '$TICKOVER sweep ${short} ${GRID.join(' ')} --shard {}/4 --resume ${folder}/parallel-{}.jsonl' ::: 1 2 3 4 >/dev/null && $TICKOVER merge ${folder}/parallel-*.jsonl --out ${at('parallel.jsonl')}`;
    const { code, err } = await shell(line);
    expect([code, err.match(/was not there, and is begun/g)?.length]).toEqual([0, 4]);
    expect(readFileSync(at('parallel.jsonl')).equals(readFileSync(at('whole.jsonl')))).toBe(true);
  });
});

describe('--shard refuses', () => {
  test.each([
    ['0/3', /there is no shard 0; they are counted from 1 to 3/],
    ['4/3', /there is no shard 4/],
    ['1/0', /shards can be had/],
    ['one', /i\/n is wanted/],
    ['1/16', /15 cells make at most 15 shards/],
  ])('%s', async (shard, message) => {
    await refused(['sweep', short, ...GRID, '--shard', shard], message);
  });
});

describe('merge refuses', () => {
  test('parts that are missing, given twice, of another sweep, or no stores', async () => {
    const [a, b, c, d] = shards(4) as [string, string, string, string];
    const out = at('refused.jsonl');
    await refused(['merge', a, c, '--out', out], /^shards 2\/4, 4\/4 missing\nnothing was merged\n$/);
    await refused(['merge', a, b, c, d, b, '--out', out], /2-4\.jsonl: shard 2\/4 a second time; .*2-4\.jsonl is the first\n/);
    await refused(['merge', a, short, '--out', out], /short\.yaml: is no store of a sweep/);
    await refused(['merge', a, at('nowhere.jsonl'), '--out', out], /nowhere\.jsonl: cannot be read: there is no such file/);
    await tickover(['sweep', short, ...GRID, '--shard', '2/4', '--set', 'engine.inertia=0.2', '--out', at('other.jsonl')]);
    await refused(['merge', a, at('other.jsonl'), c, d, '--out', out], /other\.jsonl: another sweep than .*\n {2}engine\.inertia: 0\.15 kg m\^2 in .*1-4\.jsonl, 0\.2 kg m\^2 in .*other\.jsonl\n/);
    expect(existsSync(out)).toBe(false);
  });

  test('a part that is not finished, and says how to finish it', async () => {
    const [a, b, c, d] = shards(4) as [string, string, string, string];
    const cut = put('cut.jsonl', readFileSync(b, 'utf8').split('\n').slice(0, 3).join('\n'));
    await refused(['merge', a, cut, c, d], /cut\.jsonl: 1 of 4 cells; tickover sweep … --resume .*cut\.jsonl runs the others/);
    const { code, err } = await tickover(['sweep', short, ...GRID, '--shard', '2/4', '--resume', cut]);
    expect([code, err]).toEqual([0, `${cut}: its last line was torn; that cell is run again\n${cut}: 1 of 4 cells are there\n`]);
    expect(readFileSync(cut).equals(readFileSync(b))).toBe(true);
  });

  test('to write in the place of anything that is there', async () => {
    const parts = shards(4);
    await refused(['merge', ...parts, '--out', parts[0]!], /is a store already/);
    await refused(['merge', ...parts, '--out', short], /is there already/);
    await refused(['merge', ...parts, '--csv', short], /is a scenario file/);
    expect(readFileSync(short, 'utf8')).toBe(SHORT);
  });
});
