/** `tickover page` and `tickover bench` as commands: what they write, and what they refuse. */
import { chmodSync, existsSync, mkdirSync, readFileSync, rmSync, statSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { beforeAll, describe, expect, test } from 'vitest';
import { build, BUILD_MS, expectWithin, refused, scratch, SHORT, tickover } from '../cli/tickover.js';
import { root } from './scenarios.js';

beforeAll(build, BUILD_MS);
const { path: folder, put } = scratch();
const short = (): string => put('short.yaml', SHORT);
const out = (name: string): string => join(folder, name);

describe('tickover page', () => {
  test('writes one file that refers to nothing outside it, and says what is in it', async () => {
    const { code, out: said, err } = await tickover(['page', short(), '-o', out('a.html')], { columns: 80 });
    expect([code, err]).toEqual([0, '']);
    expect(said).toMatch(/1 run, the live bench; \d+ kB, nothing\s+from\s+the\s+network/);
    expect(said.trimEnd().split('\n').at(-1)).toMatch(/brake on\.$/);
    expectWithin(said, 80);
    const text = readFileSync(out('a.html'), 'utf8');
    expect(text.replace(/<script[\s\S]*?<\/script>|<style>[\s\S]*?<\/style>/g, '')).not.toMatch(/\b(src|href)=(?!"#)/);
    expect(text).toMatch(/default-src 'none'; script-src 'sha256-[^']+'; style-src 'sha256-[^']+'; worker-src blob:/);
    expect(text).not.toMatch(/unsafe-/);
    expect(text).not.toMatch(/ style="| on\w+="/);
  });

  test('of the whole job, 28 drills, stays under a megabyte', async () => {
    const { code } = await tickover(['page', join(root, 'scenarios/job.yaml'), '-o', out('job.html')]);
    expect(code).toBe(0);
    expect(statSync(out('job.html')).size).toBeLessThan(1_000_000);
  });

  test('holds the whole sheet when asked, word for word', async () => {
    const file = short();
    await tickover(['page', file, '--sheet', '-o', out('sheet.html')]);
    await tickover(['setup', file, '--sheet', out('alone.html')]);
    const words = (text: string): string => text.replace(/<style>[\s\S]*?<\/style>|<[^>]+>/g, ' ').replace(/\s+/g, ' ').trim();
    const [, body] = /<body[^>]*>([\s\S]*)<\/body>/.exec(readFileSync(out('alone.html'), 'utf8'))!;
    expect(words(body!).length).toBeGreaterThan(2000);
    expect(words(readFileSync(out('sheet.html'), 'utf8'))).toContain(words(body!));
  });

  test('tells the same numbers as run does', async () => {
    const file = short();
    await tickover(['page', file, '-o', out('same.html')]);
    const { out: json } = await tickover(['run', file, '--json']);
    const { verdict } = JSON.parse(json) as { verdict: string };
    expect(readFileSync(out('same.html'), 'utf8')).toContain(verdict);
  });

  test('writes to standard output when asked, and nothing else there', async () => {
    const { out: said, code } = await tickover(['page', short(), '-o', '-']);
    expect(code).toBe(0);
    expect(said).toMatch(/^<!doctype html>[\s\S]*<\/html>\n$/);
  });

  test('takes the store of a sweep, finished or not, and what sweep --json printed', async () => {
    const file = short();
    const axes = ['--vary', 'controller.pid.kp=0.01,0.02,0.03', '--vary', 'controller.pid.ki=0.01,0.02'];
    const { out: json } = await tickover(['sweep', file, ...axes, '--out', out('s.store'), '--json']);
    put('s.json', json);
    await tickover(['page', out('s.store'), out('s.json'), '-o', out('s.html'), '--front', 'sag,hunting']);
    const text = readFileSync(out('s.html'), 'utf8');
    expect(text.match(/6 cells: controller\.pid\.kp at 3 values from 0\.01 to 0\.03/g)).toHaveLength(2);
    const payload = JSON.parse(/id="payload">(.*?)<\/script>/s.exec(text)![1]!) as { sweeps: { map: { rows: unknown[][] } }[] };
    expect(payload.sweeps[0]!.map.rows).toEqual(payload.sweeps[1]!.map.rows);
    expect(payload.sweeps[0]!.map.rows.map((row) => row.length)).toEqual([3, 3]);
    const [head, first] = readFileSync(out('s.store'), 'utf8').split('\n');
    const part = put('part.store', `${head}\n${first}\n`);
    await tickover(['page', part, '-o', out('part.html')]);
    expect(readFileSync(out('part.html'), 'utf8')).toMatch(/1 of 6 cells so far/);
  });

  test('refuses what it could not write or read, before anything is run', async () => {
    const file = short();
    await refused(['page', file, '-o', out('no/such/folder/a.html')], /cannot be written: the folder is not there/);
    await refused(['page', file, '-o', file], /a name that ends in \.html is wanted/);
    await refused(['page', file, '-o', out('a.txt')], /a name that ends in \.html is wanted/);
    await refused(['page', file], /required option '-o, --out <file>'/);
    await refused(['page', out('none.yaml'), '-o', out('x.html')], /none\.yaml/);
    await refused(['page', put('x.json', '{"a": 1}'), '-o', out('x.html')], /is not what sweep --json prints/);
    await refused(['page', put('y.json', '{'), '-o', out('x.html')], /is no JSON/);
    await refused(['page', file, '-o', out('x.html'), '--front', 'sag,nonsense'], /nonsense: no such metric/);
    await refused(['page', file, '-o', out('x.html'), '--front', 'sag,hunting'], /needs the store of a sweep/);
    mkdirSync(out('folder.html'));
    await refused(['page', file, '-o', out('folder.html')], /it is a folder/);
    expect(existsSync(out('x.html'))).toBe(false);
    if (process.getuid?.() !== 0) {
      mkdirSync(out('locked'));
      chmodSync(out('locked'), 0o500);
      await refused(['page', file, '-o', out('locked/a.html')], /not allowed/);
    }
  });
});

describe('tickover bench', () => {
  test('writes the page to a temporary file and prints its path alone', async () => {
    const { code, out: said, err } = await tickover(['bench', short()], { env: { TMPDIR: folder } });
    expect(code).toBe(0);
    const path = said.trim();
    expect(said.split('\n')).toHaveLength(2);
    expect(path.startsWith(folder)).toBe(true);
    const text = readFileSync(path, 'utf8');
    expect(text.indexOf('id="bench"')).toBeLessThan(text.indexOf('id="runs"'));
    expect(err).toMatch(/brake on/);
    rmSync(dirname(path), { recursive: true });
  });

  test('says so when there is nothing to open it with, or nowhere to put it', async () => {
    const { code, err } = await tickover(['bench', short(), '--open'], { env: { TMPDIR: folder, PATH: folder } });
    expect([code, process.platform === 'linux' ? /xdg-open could not be started/.test(err) : true]).toEqual([0, true]);
    await refused(['bench', short()], /no folder can be made there/, { env: { TMPDIR: out('nowhere') } });
  });
});
