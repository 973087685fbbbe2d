/** The fit on what is not the ordinary log: an engine that warms up, a stepper, a load for an anchor, two logs together. */
import { expect, it } from 'vitest';
import { type EngineFit, fitEngine, knobsOf } from '../../src/identify/fit/index.js';
import { joinRecordings } from '../../src/identify/fit/join.js';
import { turned } from '../../src/identify/fit/knobs.js';
import { csvOf, driven, logOf, planned, planUntil, recordingOf } from './fit-logs.js';

const ONE_STEP = { method: 'one step', heldOut: 0 } as const;
const of = (fit: EngineFit, key: string) => fit.told.find((t) => t.key === key)!;

it('finds the law of cold oil where the coolant rises from 40 to 80 degrees, from 40 % off', async () => {
  const [head, events] = planUntil(50).trimEnd().split('  events:\n');
  const rises = [0.001, 8.3, 20.4, 29.3, 38.4].map((t, i) => `    - {at: ${t} s, do: coolant, temperature: ${40 + 10 * i} degC}`);
  const time = (line: string): number => Number(/at: ([\d.]+)/.exec(line)![1]);
  const lines = [...events!.split('\n'), ...rises].sort((a, b) => time(a) - time(b));
  const scenario = await planned([], `${head}  events:\n${lines.join('\n')}\n`);
  const { base, recording } = recordingOf(await logOf(csvOf(driven(scenario, 6), { seed: 6 })), scenario);
  const off = knobsOf(base).map((knob) => (knob.key === 'engine.oil.exponent' ? Math.log(1.4) : 0));
  const told = of(fitEngine(recording, turned(base, knobsOf(base), off), ONE_STEP), 'engine.oil.exponent');
  expect(told.prior).toBeCloseTo(0.28, 6);
  expect(told.verdict).toBe('pinned');
  expect(Math.abs(told.value / 0.2 - 1)).toBeLessThan(0.05);
}, 120_000);

it('fits a stepper, and two logs of it as one', async () => {
  const text = planUntil(24)
    .replace('kind: solenoid', 'kind: stepper').replace('[[0, 22]]', '[[0, 45]]').replace('highest: 60', 'highest: 140')
    .replace('kp: 0.010, ki: 0.012, kd: 0.002', 'kp: 0.02, ki: 0.024, kd: 0.004');
  const scenario = await planned([], text);
  const logs = await Promise.all([3, 4].map(async (seed) => recordingOf(await logOf(csvOf(driven(scenario, seed), { seed })), scenario)));
  const { base } = logs[0]!;
  const fit = fitEngine(joinRecordings(logs.map(({ recording }) => recording)), base, ONE_STEP);
  expect(fit.used.stretches).toHaveLength(2);
  for (const [key, real] of [['engine.inertia', 0.15], ['engine.manifold.volume', 2.6], ['load:fan', 4]] as const) expect(Math.abs(of(fit, key).value / real - 1), key).toBeLessThan(0.05);
}, 120_000);

it('takes the scale from a load of known torque, and finds the efficiency that the file has wrong', async () => {
  const scenario = await planned([], planUntil(24));
  const { base, recording } = recordingOf(await logOf(csvOf(driven(scenario, 5), { seed: 5 })), scenario);
  const wrong = { ...base, engine: { ...base.engine, torque: { ...base.engine.torque, efficiency: 0.25 } }, loads: base.loads.map((load) => ({ ...load, torque: 4 })) };
  const fit = fitEngine(recording, wrong as typeof base, { ...ONE_STEP, anchor: 'load:fan' });
  const told = of(fit, 'engine.torque.efficiency');
  expect(of(fit, 'load:fan').verdict).toBe('held');
  expect(told.low).toBeLessThan(0.33);
  expect(told.high).toBeGreaterThan(0.33);
  expect(Math.abs(told.value / 0.33 - 1)).toBeLessThan(Math.abs(0.25 / 0.33 - 1));
}, 120_000);
