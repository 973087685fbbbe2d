/** `tickover setup` as a user runs it. */
import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeAll, describe, expect, test } from 'vitest';
import { build, BUILD_MS, expectWithin, refused, root, scratch, tickover } from '../cli/tickover.js';

const folder = scratch();
const LONG = 300_000;
const three = join(root, 'scenarios/three.yaml');

beforeAll(build, BUILD_MS);

test('prints every setting with its reason, the drills and a verdict, and writes the file and the sheet', { timeout: LONG }, async () => {
  const [out, sheet] = [join(folder.path, 'computed.yaml'), join(folder.path, 'sheet.html')];
  const units = ['--set', 'sheet.temperatures=degF', '--set', 'sheet.gainScale.ki=100', '--set', 'sheet.gainScale.kp=7', '--gain-scale', 'kp=10'];
  const said = await tickover(['setup', three, ...units, '--out', out, '--sheet', sheet], { columns: 80 });
  expect([said.code, said.err]).toEqual([0, '']);
  expectWithin(said.out, 80);
  for (const part of ['controller.base', 'controller.pid.ki', 'controller.entry.window', 'controller.start.cranking', 'Proven by', 'Drills', 'Done: all']) expect(said.out).toContain(part);
  expect(readFileSync(sheet, 'utf8')).toMatch(/^<!doctype html>[\s\S]*<\/html>\n$/);

  // the reader's units as the scenario says them, the command line with the last word
  const page = readFileSync(sheet, 'utf8');
  for (const part of ['coolant, °F', '× 10 of', '× 100 of']) expect(page).toContain(part);
  expect(page).not.toContain('× 7 of');

  // the file goes where `from` takes it, and the loop holds with it
  const again = folder.put('again.yaml', readFileSync(three, 'utf8').replace(/controller:[\s\S]*?\ndrill:/, 'controller: {from: computed.yaml}\ndrill:').replaceAll(/from: (engines|valves)/g, `from: ${join(root, 'scenarios')}/$1`));
  const run = await tickover(['run', again], { columns: 80 });
  expect([run.code, run.err]).toEqual([0, '']);
  expect(run.out).toContain('Holds');

  // its own file may be written again, that of others not
  const foreign = folder.put('mine.yaml', 'period: 20 ms\n');
  await refused(['setup', three, '--out', foreign], /mine\.yaml: is there already, and setup did not write it/);
  expect(readFileSync(foreign, 'utf8')).toBe('period: 20 ms\n');
});

test('exit code 1 and the reason when a setting is flagged', { timeout: LONG }, async () => {
  const said = await tickover(['setup', three, '--set', 'valve.size.flow=2.2', '--json'], { columns: 80 });
  expect(said.code).toBe(1);
  const object = JSON.parse(said.out) as { ok: boolean; verdict: string; settings: { key: string; flag: string | null }[] };
  expect(object.ok).toBe(false);
  expect(object.verdict).toMatch(/^Not done: /);
  expect(object.settings.find(({ key }) => key === 'controller.base')!.flag).toContain('the valve runs out of authority');
});

describe('is refused before anything is computed:', () => {
  test('a sheet to a folder that is not there', () => refused(['setup', three, '--sheet', join(folder.path, 'nowhere/s.md')], /cannot be written: the folder is not there/));
  test('a sheet of another kind', () => refused(['setup', three, '--sheet', join(folder.path, 's.pdf')], /a name that ends in \.md or \.html is wanted/));
  test('settings to a folder that is not there', () => refused(['setup', three, '--out', join(folder.path, 'nowhere/c.yaml')], /the folder is not there/));
  test('settings in place of the scenario', () => refused(['setup', three, '--out', three], /is the scenario itself/));
  test('a gain scale that is none', () => refused(['setup', three, '--sheet', 's.md', '--gain-scale', 'ki=0'], /--gain-scale +ki=0: write kp=…,ki=…,kd=…/));
  test('units of a sheet without a sheet', () => refused(['setup', three, '--fahrenheit'], /give --sheet FILE/));
  test('a clutch in a car without a driveline', () =>
    refused(['setup', folder.put('clutch.yaml', 'drill: {start: {gear: 2}, events: [{do: clutch, at: 1}]}\n')], /clutch\.yaml:1:\d+ +drill\.start\.gear: there is no gear 2/));
  test('a table that does not ascend', () =>
    refused(['setup', folder.put('table.yaml', 'controller: {target: [[20, 1000], [0, 1200]]}\n')], /table\.yaml:1:\d+ +controller\.target\.1\.0: 0 does not lie above 20/));
  test('nothing is left behind', () => expect(existsSync(join(folder.path, 'nowhere'))).toBe(false));
});
