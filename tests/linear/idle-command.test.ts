/** `tickover margins` as a user runs it. */
import { join } from 'node:path';
import { beforeAll, describe, expect, test } from 'vitest';
import { build, BUILD_MS, expectWithin, refused, root, scratch, tickover } from '../cli/tickover.js';

const folder = scratch();
const file = (name: string): string => join(root, 'scenarios', name);
const LONG = 120_000;
const CAUTION = 'Simulated, not measured. Outdoors or extracted, wheels chocked, brake on.';

beforeAll(build, BUILD_MS);

describe('prints a page that fits, ending in the caution:', { timeout: LONG }, () => {
  test.each([
    ['air alone', ['solenoid.yaml'], [/^air loop +5\.\d\d/m, /kp, ki and kd are 5\.\d+ times as large/, /swings at 0\.35 Hz/]],
    ['air and spark', ['solenoid.yaml', '--set', 'controller.spark.rate=0.1 deg/rpm'], [/^at the air valve/m, /^at the spark/m, /The spark trim stays stable until the rate is 9\.\d+ times/]],
    ['a stepper', ['stepper.yaml', '--set', 'controller.pid.deadBand=0'], [/33\.4\s+steps/, /Whole steps: a limit cycle of about ±11 rpm at 0\.35 Hz/]],
    ['its dead band', ['stepper.yaml'], [/Whole steps: no limit cycle; one step moves the speed by 15 rpm/]],
    ['cold', ['solenoid.yaml', '--coolant', '-10 degC'], [/coolant −10 °C/]],
    ['coolant as a Fahrenheit', ['solenoid.yaml', '--coolant', '50 degF'], [/coolant 10 °C/]],
    ['a held command', ['solenoid.yaml', '--set', 'controller.hold=22'], [/No loop: the air command is held\. The engine holds itself\./]],
    ['zero gains', ['solenoid.yaml', '--set', 'controller.pid.kp=0', '--set', 'controller.pid.ki=0', '--set', 'controller.pid.kd=0'], [/No loop: all gains are zero/]],
    ['a loop that hunts', ['solenoid.yaml', '--set', 'controller.pid.ki=1'], [/Hunts: with these gains the idle is unstable/, /the closed loop is unstable/]],
    ['the first drill of a suite', ['job.yaml'], [/coolant −10 °C|coolant −20 °C/]],
    ['plots', ['solenoid.yaml', '--bode', '--nyquist'], [/gain, dB/, /\+ the point −1/]],
    ['spark limits', ['solenoid.yaml', '--spark-limit', '--vary', 'engine.inertia=0.1,0.3,1.5'], [/above 5/, /Closed form/]],
  ] as const)('%s', async (_, [name, ...args], patterns) => {
    for (const columns of (args as readonly string[]).includes('--bode') ? [80, 120] : [80]) {
      const said = await tickover(['margins', file(name), ...args], { columns });
      expect([said.code, said.err]).toEqual([0, '']);
      for (const pattern of patterns) expect(said.out).toMatch(pattern);
      expectWithin(said.out, columns);
      expect(said.out.trimEnd().split('\n').at(-1)).toBe(CAUTION);
      expect(said.out).not.toMatch(/NaN|undefined|Infinity/);
    }
  });
});

describe('--json', { timeout: LONG }, () => {
  test('holds what the page tells, absent numbers null with a reason', async () => {
    const said = await tickover(['margins', file('solenoid.yaml'), '--json']);
    const object = JSON.parse(said.out) as { readonly stable: boolean; readonly ms: number; readonly idle: { readonly speedRpm: number }; readonly loops: Record<string, { readonly gainMargin: number } | null> };
    expect(object.stable).toBe(true);
    expect(object.idle.speedRpm).toBeCloseTo(800, 6);
    expect(object.loops.air!.gainMargin).toBeGreaterThan(5);
    expect(object.loops.spark).toBeNull();
    const hunting = JSON.parse((await tickover(['margins', file('solenoid.yaml'), '--set', 'controller.pid.ki=1', '--json'])).out) as { readonly stable: boolean; readonly worstMs: null; readonly loops: { readonly air: { readonly gainMargin: null; readonly reasons: Record<string, string> } } };
    expect([hunting.stable, hunting.worstMs, hunting.loops.air.gainMargin]).toEqual([false, null, null]);
    expect(hunting.loops.air.reasons.gainMargin).toBe('the closed loop is unstable');
  });

  test('of the spark limit: rises with the inertia, a row each', async () => {
    const said = await tickover(['margins', file('solenoid.yaml'), '--spark-limit', '--vary', 'engine.inertia=0.05:0.5:4', '--json']);
    const { sparkLimit } = JSON.parse(said.out) as { readonly sparkLimit: { readonly rows: readonly { readonly values: readonly number[]; readonly limit: { readonly closedForm: number; readonly withAir: { readonly rate: number } } }[] } };
    const each = sparkLimit.rows.map(({ values, limit }) => limit.withAir.rate / values[0]!);
    expect(each).toHaveLength(4);
    expect(Math.max(...each) / Math.min(...each)).toBeLessThan(1.1);
  });
});

describe('is refused, exit code 2:', { timeout: LONG }, () => {
  test('too little air', () => refused(['margins', file('solenoid.yaml'), '--set', 'valve.size.flow=0.5 g/s'], /solenoid\.yaml +no idle: 800 rpm needs more air than the valve gives wide open/));
  test('an alternator at its limit', () => refused(['margins', file('solenoid.yaml'), '--set', 'engine.alternator.fitted=yes', '--set', 'engine.alternator.demand=1500 W'], /no linear model: at this speed the alternator is at its limit/));
  test('what is varied without a spark limit', () => refused(['margins', file('solenoid.yaml'), '--vary', 'engine.inertia=0.1,0.2'], /--vary: says what --spark-limit is taken against/));
  test('a key that is none', () => refused(['margins', file('solenoid.yaml'), '--spark-limit', '--vary', 'engine.inertai=0.1,0.2'], /did you mean engine\.inertia\?/));
  test('an inertia of nothing', () => refused(['margins', file('solenoid.yaml'), '--spark-limit', '--vary', 'engine.inertia=0,0.2'], /0 kg m\^2 is outside/));
  test('too many engines for a table', () => refused(['margins', file('solenoid.yaml'), '--spark-limit', '--vary', 'engine.inertia=0.05:0.5:501'], /501 engines; at most 500/));
  test('a coolant that is none', () => refused(['margins', file('solenoid.yaml'), '--coolant', 'warm'], /--coolant +warm/));
  test('a coolant that boils', () => refused(['margins', file('solenoid.yaml'), '--coolant', '300'], /300 °C is outside −40 … 130/));
  test('a file with a problem', () => refused(['margins', folder.put('bad.yaml', 'engine: {inertia: -1}\n')], /bad\.yaml:1:\d+ +engine\.inertia/));
  test('a file that is not there', () => refused(['margins', join(folder.path, 'none.yaml')], /none\.yaml/));
});
