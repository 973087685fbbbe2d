/** `--svg` of the commands: what they write, what they refuse. */
import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeAll, describe, expect, test } from 'vitest';
import { build, BUILD_MS, refused, scratch, SHORT, tickover } from './tickover.js';

beforeAll(build, BUILD_MS);
const { path: folder, put } = scratch();
const out = (name: string): string => join(folder, name);
const svg = (name: string): string => readFileSync(out(name), 'utf8');
const short = (): string => put('short.yaml', SHORT);
const GRID = ['--vary', 'controller.pid.kp=0.01,0.02', '--vary', 'controller.pid.ki=0.01,0.02'];

describe('--svg', () => {
  test('draws a run beside what run prints, and alone on standard output when asked', async () => {
    const file = short();
    const plain = await tickover(['run', file]);
    const beside = await tickover(['run', file, '--svg', out('run.svg')]);
    expect(beside).toEqual(plain);
    const alone = await tickover(['run', file, '--svg', '-']);
    expect([alone.code, alone.err]).toEqual([plain.code, '']);
    expect(alone.out).toBe(svg('run.svg'));
    expect(alone.out).toMatch(/^<svg xmlns="http:\/\/www\.w3\.org\/2000\/svg"[\s\S]*<\/svg>\n$/);
    expect(alone.out).toMatch(/@media \(prefers-color-scheme:dark\)/);
    const { verdict } = JSON.parse((await tickover(['run', file, '--json'])).out) as { verdict: string };
    expect(alone.out).toContain(verdict);
  });

  test('draws comparisons, margins, sweeps and lessons', async () => {
    const file = short();
    await tickover(['compare', file, put('other.yaml', SHORT.replace(/^title:.*/m, 'title: the other')), '--svg', out('compare.svg')]);
    expect(svg('compare.svg')).toMatch(/the other/);
    await tickover(['margins', file, '--svg', out('margins.svg')]);
    expect(svg('margins.svg')).toMatch(/gain of the open loop/);
    const swept = await tickover(['sweep', file, ...GRID, '--front', 'sag,flare', '--out', out('s.store'), '--svg', out('sweep.svg')]);
    expect(swept.err).toBe('');
    expect(svg('sweep.svg')).toMatch(/controller\.pid\.ki[\s\S]*class="best"[\s\S]*class="point"/);
    await tickover(['merge', out('s.store'), '--front', 'sag,flare', '--svg', out('merge.svg')]);
    expect(svg('merge.svg')).toBe(svg('sweep.svg'));
    const lesson = await tickover(['lesson', 'free-rev', '--svg', out('lesson.svg')]);
    expect(lesson.out).toMatch(/both runs of the lesson, drawn/);
    expect(svg('lesson.svg')).toMatch(/class="stall"/);
  });

  test('is refused before anything is run, and leaves nothing behind', async () => {
    const file = short();
    await refused(['run', file, '--svg', out('a.png')], /a name that ends in \.svg is wanted/);
    await refused(['run', file, '--svg', file], /a name that ends in \.svg is wanted/);
    await refused(['run', file, '--svg', out('no/such/a.svg')], /the folder is not there/);
    await refused(['run', file, '--svg', '-', '--json'], /both write to standard output/);
    await refused(['sweep', file, '--vary', 'controller.pid.kp=0.01,0.02', '--svg', out('x.svg')], /grid of exactly two settings/);
    await refused(['margins', file, '--svg', out('x.svg'), '--spark-limit'], /leave out --spark-limit/);
    await refused(['lesson', 'free-rev', '--svg', out('x.svg'), '--predict', 'b'], /asks nothing/);
    await refused(['margins', file, '--set', 'controller.pid.kp=0', '--set', 'controller.pid.ki=0', '--set', 'controller.pid.kd=0', '--svg', out('x.svg')], /no loop to draw/);
    expect(existsSync(out('x.svg'))).toBe(false);
  });
});
