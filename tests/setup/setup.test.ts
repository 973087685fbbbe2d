import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { interpolate } from '../../src/numerics/curve.js';
import { simulate } from '../../src/loop/simulate.js';
import { controllerFile } from '../../src/report/controller-file.js';
import { valveRange } from '../../src/scenario/table.js';
import { withController } from '../../src/setup/apply.js';
import { createBench } from '../../src/setup/bench.js';
import { baseFor, COOLANTS_C, targetFor } from '../../src/setup/base.js';
import { demandNamed, loadAir } from '../../src/setup/loads.js';
import type { SetupResult, SetupRow } from '../../src/setup/index.js';
import { compute, FILES, NAMES, read, resultOf } from './engines.js';

const LONG = 300_000;
const row = ({ settings }: SetupResult, key: string): SetupRow => settings.find((each) => each.key === key)!;

describe.each(NAMES)('the settings of the %s', (name) => {
  test('pass every drill, hot and cold, and nothing is flagged', { timeout: LONG }, async () => {
    const { drills, settings, ok } = await resultOf(name);
    expect(drills.length).toBe(11);
    expect(drills.filter(({ after }) => !after.passes).map(({ name: drill, after }) => `${drill}: ${after.verdict}`)).toEqual([]);
    expect(settings.filter(({ flag }) => flag !== null)).toEqual([]);
    expect(ok).toBe(true);
  });

  test('do not stall with inertia, plenum, friction or valve flow a fifth off', { timeout: LONG }, async () => {
    const { corners } = await resultOf(name);
    expect(corners.map((corner) => corner.name)).toEqual(['inertia', 'plenum volume', 'friction', 'valve flow'].flatMap((what) => [`${what} −20 %`, `${what} +20 %`]));
    expect(corners.filter(({ stalls }) => stalls.length > 0)).toEqual([]);
  });

  test('each have a reason and a drill', { timeout: LONG }, async () => {
    for (const { key, why, provenBy, text } of (await resultOf(name)).settings) {
      expect([key, why.length > 10, provenBy !== '' && provenBy !== 'none', text !== '']).toEqual([key, true, true, true]);
    }
  });

  test('base air holds the target to half a step of it, at every coolant', { timeout: LONG }, async () => {
    const { scenario } = await resultOf(name);
    const bench = createBench(scenario);
    const step = bench.range.unit === 'step' ? 1 : 0.5;
    for (const coolantC of COOLANTS_C) {
      const wanted = bench.airAt(coolantC, interpolate(scenario.controller.targetRpm, coolantC));
      expect(Math.abs(interpolate(scenario.controller.base, coolantC) - wanted)).toBeLessThanOrEqual(step / 2 + 1e-9);
    }
  });

  test('load air, with the integral off and no trim, brings the speed back within a minute', { timeout: LONG }, async () => {
    const { scenario } = await resultOf(name);
    const { controller } = scenario;
    const torque = scenario.drill.events.find((event) => event.do === 'load' && event.torque > 0);
    const long = withController(
      { ...scenario, drill: { ...scenario.drill, events: [torque!] }, run: { ...scenario.run, duration: 64 } },
      { pid: { ...controller.pid, ki: 0 }, spark: { ...controller.spark, rateDegPerRpm: 0 } },
    );
    const { columns, rows } = simulate(long);
    const meanBetween = (fromS: number, toS: number): number => {
      const speeds = [...columns.speedRpm.subarray(0, rows)].filter((_, k) => columns.timeS[k]! >= fromS && columns.timeS[k]! < toS);
      return speeds.reduce((sum, speed) => sum + speed, 0) / speeds.length;
    };
    const bench = createBench(scenario);
    const halfStep = bench.range.unit === 'step' ? 0.5 * bench.rpmPerAir(90, interpolate(controller.targetRpm, 90)) : 0;
    expect(Math.abs(meanBetween(60, 64) - meanBetween(1, 2))).toBeLessThanOrEqual(5 + halfStep);
  });

  test('the computed lead is better than none and than 0.85 s, and the table in the docs says so', { timeout: LONG }, async () => {
    const lead = row(await resultOf(name), 'controller.loads.0.lead');
    const cost = new Map(lead.tried!.rows.map(([leadS, , , both]) => [Number(leadS), Number(both)]));
    const best = cost.get(Number(lead.text))!;
    expect(best).toBe(Math.min(...cost.values()));
    const [none, practice] = [cost.get(0)!, [...cost].at(-1)![1]];
    expect(best).toBeLessThan(Math.min(none, practice));
    const page = readFileSync(new URL('../../docs/setup.md', import.meta.url), 'utf8');
    expect(page).toContain(`| ${name} | ${lead.text} | ${none.toFixed(2)} | ${best.toFixed(2)} | ${practice.toFixed(2)} |`);
  });

  test('written as a file, they are read back as they are', { timeout: LONG }, async () => {
    const { scenario } = await resultOf(name);
    const text = controllerFile(scenario.controller, valveRange(scenario.valve).unit, ['computed', 'line\nbreak: {']).join('\n');
    const again = await read(FILES[name].replace(/controller:\n.*\n/, 'controller: {from: own.yaml}\n'), [], { 'own.yaml': text });
    expect(again.scenarios[0]!.controller).toEqual(scenario.controller);
  });
});

test('a badly set four fails at least eight drills, and passes them all with the settings computed', { timeout: LONG }, async () => {
  const bad = FILES['four, solenoid'].replace('  loads:', [
    '  target: [[-20, 900], [80, 650]]', '  base: [[-20, 20], [80, 11]]',
    '  start: {cranking: [[20, 0]], after: [[20, 0]]}', '  entry: {window: 6000}',
    '  pid: {kp: 0.002, ki: 0.4, kd: 0}', '  clamp: {lowest: 0, highest: 60}', '  loads:',
  ].join('\n'));
  const { drills } = await compute(bad);
  expect(drills.filter(({ before }) => !before.passes).length).toBeGreaterThanOrEqual(8);
  expect(drills.filter(({ after }) => !after.passes).map(({ name, after }) => `${name}: ${after.verdict}`)).toEqual([]);
});

const TARGET = { x: [-20, 20, 60, 80], y: [1300, 1100, 880, 800] };
const baseOf = async (set: string) => {
  const { scenarios } = await read(FILES['four, solenoid'], [set]);
  const scenario = withController(scenarios[0]!, { targetRpm: TARGET });
  return baseFor(scenario, createBench(scenario));
};

test('a valve too small for the cold is flagged at its coolant, with what is missing', async () => {
  const { curve, row: base } = await baseOf('valve.size.flow=4');
  expect(base.flag).toMatch(/^the valve runs out of authority: at −20 °C \(1300 rpm\) the engine needs 1\d\d % and the valve ends at 100 %/);
  expect(curve.y[0]).toBe(100);
  expect((await baseOf('valve.size.flow=9')).row.flag).toBeNull();
});

test('a leak past the throttle that is more than the hot idle needs is flagged, not hidden', async () => {
  const { curve, row: base } = await baseOf('engine.throttle.leak.flow=6');
  expect(base.flag).toMatch(/at 80 °C \(800 rpm\) the shut valve already lets the engine run faster: the leak past the throttle is too large/);
  expect(curve.y.at(-1)).toBe(0);
});

test('a target that none gives is faster the harder the hit, and held down where the valve would end', async () => {
  const { scenarios } = await read(FILES['four, solenoid']);
  const bench = createBench(scenarios[0]!);
  const hot = (torque: number, lagS: number): number => targetFor(bench, 0.15, torque, () => lagS, () => 1).curve.y.at(-1)!;
  expect(hot(12, 0.4)).toBeGreaterThan(hot(6, 0.4));
  expect(hot(6, 0.6)).toBeGreaterThan(hot(6, 0.3));
  expect(targetFor(bench, 0.15, 6, () => 0.3, (rpm) => (rpm < 900 ? 0 : 1)).curve.y.at(-1)).toBe(900);
  const small = (await read(FILES['four, solenoid'], ['valve.size.flow=5'])).scenarios[0]!;
  const { curve, row: target } = targetFor(createBench(small), 0.15, 9, () => 0.38, () => 1);
  expect(createBench(small).airAt(-20, curve.y[0]!)).toBeLessThanOrEqual(80);
  expect(target.why).toContain('held down at −20 °C');
});

test('the air of a load is that of the largest drill of its name, and the more the colder', async () => {
  const { scenarios } = await read(FILES.three);
  const bench = createBench(scenarios[0]!);
  const load = scenarios[0]!.controller.loads[0]!;
  const { air, row: text } = loadAir(scenarios[0]!, bench, load, demandNamed('compressor', scenarios, bench, 850), 0);
  expect(air).toBeGreaterThan(0);
  expect(text.why).toContain('so the loop makes up the difference while cold');
  expect(demandNamed('fan', scenarios, bench, 850)).toBeNull();
});

test('a target that the file gives is kept; a load that no drill switches keeps its air and is flagged', { timeout: LONG }, async () => {
  const result = await compute(FILES.three.replace('lead: 0 s}]', 'lead: 0 s}, {name: fan, air: 2}]'), ['controller.target.3.1=870']);
  expect(result.scenario.controller.targetRpm.y).toEqual([1300, 1100, 880, 870]);
  expect(result.settings.some(({ key }) => key === 'controller.target')).toBe(false);
  expect(row(result, 'controller.loads.1.air')).toMatchObject({ text: '2', flag: 'fan: no drill switches this load; give it a drill, or take its air from the car' });
  expect(result.ok).toBe(false);
});

test('the same file gives the same settings', { timeout: LONG }, async () => {
  const plain = ({ settings, drills, corners }: SetupResult) => JSON.stringify({ settings, corners, scores: drills.map(({ before, after }) => [before.score, after.score]) });
  expect(plain(await compute(FILES.three))).toBe(plain(await resultOf('three')));
});
