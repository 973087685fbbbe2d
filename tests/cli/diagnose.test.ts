import { join } from 'node:path';
import { beforeAll, describe, expect, test } from 'vitest';
import { build, BUILD_MS, expectWithin, scratch, tickover } from './tickover.js';

const { path: folder, put } = scratch();

beforeAll(build, BUILD_MS);

/** A log at 10 Hz of so many rows, by row. */
const table = (head: string, rows: number, row: (k: number) => readonly (string | number)[]): string => `${head}\n${Array.from({ length: rows }, (_, k) => row(k).join(',')).join('\n')}\n`;
const jitter = (k: number): number => Math.round(8 * Math.sin(1.7 * k) + 5 * Math.sin(0.61 * k * k));
const HEAD = 'Time [s],Engine speed [rpm],MAP [kPa],Idle valve duty [%],Coolant [°C],Throttle [%]';
const idleLog = (speed: (k: number) => number, kpa = 32): string => table(HEAD, 300, (k) => [(k / 10).toFixed(1), speed(k), (kpa + jitter(k + 7) / 20).toFixed(1), (20 + jitter(k) / 100).toFixed(1), 88, 14]);

describe('tickover diagnose', () => {
  test('tells a healthy log so, with what it guessed and what it cannot tell', async () => {
    const { code, out } = await tickover(['diagnose', put('good.csv', idleLog((k) => 800 + jitter(k)))]);
    expect(code).toBe(0);
    expect(out).toMatch(/Nothing found\./);
    expect(out).toMatch(/Not to be told from it: .*no target speed/s);
    expectWithin(out, 80);
  });

  test('names the setting, the way to move it and what it saw', async () => {
    const hunts = put('hunts.csv', table(HEAD, 400, (k) => {
      const a = (2 * Math.PI * 0.45 * k) / 10;
      return [(k / 10).toFixed(1), Math.round(800 + 60 * Math.sin(a) + jitter(k) / 2), (32 - 2 * Math.sin(a)).toFixed(1), (20 + 1.5 * Math.cos(a)).toFixed(1), 88, 14];
    }));
    const { code, out } = await tickover(['diagnose', hunts]);
    expect(code).toBe(1);
    expect(out.trimEnd().split('\n').at(-1)).toBe('Read from a recording. Outdoors or extracted, wheels chocked, brake on.');
    expect(out).toMatch(/1\. slow hunting: the integral of the air loop/);
    expect(out).toMatch(/0\.45 Hz/);
    expect(out).toMatch(/controller\.pid\.ki: lower/);
    const json = JSON.parse((await tickover(['diagnose', hunts, '--json'])).out) as { found: boolean; exitCode: number; recordings: { findings: { cause: string; direction: string; evidence: string[] }[] }[] };
    expect([json.found, json.exitCode]).toEqual([true, 1]);
    expect(json.recordings[0]?.findings[0]).toMatchObject({ cause: 'air-integral-hunting', direction: 'lower' });
  });

  test('diagnoses a scenario’s own run', async () => {
    const { code, out } = await tickover(['diagnose', 'scenarios/badly-set.yaml']);
    expect(code).toBe(1);
    expect(out.trimEnd().split('\n').at(-1)).toMatch(/^Simulated, not measured/);
    expect(out).toMatch(/upper limit/);
    expect(out).toMatch(/closes too early on a return|base table too small/);
  });

  test('takes what run --csv writes without a mapping', async () => {
    const csv = join(folder, 'own.csv');
    await tickover(['run', 'scenarios/solenoid.yaml', '--csv', csv]);
    const { code, out } = await tickover(['diagnose', csv]);
    expect(code, out).toBe(0);
    expect(out).not.toMatch(/no air command|no target speed|no throttle/);
  });

  test.each([
    ['an empty file', '', /empty|no /i],
    ['binary rubbish', '\u0000\u0001\u0002\u0000\u00ff\u0000'.repeat(500), /./],
    ['an engine that stands', idleLog(() => 0), /never runs|stands/],
    ['a constant speed', idleLog(() => 800), /stands at 800 rpm|constant/],
    ['no idle', idleLog((k) => 3400 + 3 * jitter(k)), /no idle/],
    ['a diesel-like engine', idleLog((k) => 800 + jitter(k), 99), /diesel/],
  ])('refuses %s with a reason and code 2', async (name, text, said) => {
    const { code, err, out } = await tickover(['diagnose', put(`${name.replace(/ /g, '-')}.csv`, text)]);
    expect(code, out).toBe(2);
    expect(err).toMatch(said);
    expect(err).not.toMatch(/ {4}at |internal error/);
  });

  test('refuses options that do not go with the file', async () => {
    expect((await tickover(['diagnose', 'scenarios/solenoid.yaml', '--target', '800'])).err).toMatch(/--target: goes with a log/);
    expect((await tickover(['diagnose', put('x.csv', idleLog((k) => 800 + jitter(k))), '--set', 'run.duration=3'])).err).toMatch(/--set: goes with a scenario/);
    expect((await tickover(['diagnose', join(folder, 'none.csv')])).code).toBe(2);
    expect((await tickover(['diagnose', put('y.csv', idleLog((k) => 800 + jitter(k))), '--target', '9000'])).code).toBe(2);
  });
});
