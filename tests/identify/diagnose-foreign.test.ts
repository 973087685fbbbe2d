/** Faults planted on an engine of another kind (tests/search/foreign-engine.ts), recorded at 20 Hz with noise in whole rpm. */
import { expect, test } from 'vitest';
import { diagnose, recordingsOfLog } from '../../src/identify/diagnose/index.js';
import { simulate } from '../../src/loop/simulate.js';
import { createForeignEngine } from '../search/foreign-engine.js';
import { csvOf, logOf, planned } from './fit-logs.js';

const TEXT = `
engine: {name: a four, cylinders: 4, displacement: 1.8 L}
valve: {kind: solenoid, size: {by: flow, flow: 9 g/s, depression: 60 kPa}}
controller:
  period: 20 ms
  target: [[0, 800]]
  base: [[0, 21]]
  entry: {window: 150 rpm, hysteresis: 100 rpm}
  openAir: {dashpot: 4 %, dashpotTime: 0.5 s, fade: 1 s}
  loads: [{name: compressor, lead: 0.2 s, air: 7.5 %}]
  pid: {kp: 0.0114, ki: 0.04, kd: 0.0006}
  clamp: {lowest: 10, highest: 70}
  spark: {base: [[0, 12]], rate: 0.15}
run: {duration: 70 s, step: 1 ms, record: 10 ms}
drill:
  name: plan
  events:
    - {at: 12 s, do: load, name: compressor, torque: 6 N m, rise: 0.15 s, hold: 10 s}
    - {at: 34 s, do: throttle, opening: 30 %, until: 2500 rpm}
    - {at: 50 s, do: load, name: compressor, torque: 6 N m, rise: 0.15 s, hold: 8 s}
`;
const LAZY = ['controller.pid.ki=0.012', 'controller.spark.rate=0'];

test.each([
  ['nothing', [], []],
  ['too much integral', ['controller.pid.ki=0.12', 'controller.pid.kp=0.02', 'controller.spark.rate=0'], ['air-integral-hunting']],
  ['too much spark', ['controller.spark.rate=0.9'], ['spark-hunting']],
  ['no air for the load', ['controller.loads.0.air=0', ...LAZY], ['load-air-small']],
  ['twice the air for the load, logged as it takes hold', ['controller.loads.0.air=16', ...LAZY], ['load-air-large']],
  ['air that hangs after a return', ['controller.openAir.dashpot=20', 'controller.openAir.dashpotTime=6 s', 'controller.openAir.fade=4 s'], ['return-hang']],
] as const)('%s is found first on an engine of another kind', async (_, set, causes) => {
  const scenario = await planned(set, TEXT);
  const trace = simulate(scenario, { plant: createForeignEngine({ step: scenario.run.step, roughness: 0.03 }) });
  const log = await logOf(csvOf(trace, { seed: 5, loads: ['compressor'] }), ['compressor']);
  const found = recordingsOfLog(log).flatMap((recording) => diagnose(recording).findings.map(({ cause }) => cause));
  expect(found.slice(0, 1)).toEqual(causes);
});
