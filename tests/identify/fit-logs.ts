/** Logs of runs whose engine is known: a drive on a test plan, as a recorder at 20 Hz with noise and whole rpm has it. */
import { createController } from '../../src/controller/controller.js';
import type { Command, Controller } from '../../src/controller/types.js';
import { type Fitted, fittedFrom, type Log, readLog, usable } from '../../src/identify/fit/index.js';
import type { FitRecording } from '../../src/identify/fit/recording.js';
import { simulate } from '../../src/loop/simulate.js';
import type { Trace } from '../../src/loop/trace.js';
import { createRandom } from '../../src/numerics/random.js';
import { createModel } from '../../src/plant/models.js';
import type { Plant } from '../../src/plant/types.js';
import { loadScenario, type Scenario } from '../../src/scenario/index.js';

/** The plan: steps of air and spark over the closed loop, loads, blips, targets; once more in another order at the end. */
export const PLAN = `
engine: {name: a four, cylinders: 4, displacement: 1.8 L}
valve: {kind: solenoid, size: {by: flow, flow: 12 g/s, depression: 60 kPa}}
controller:
  period: 20 ms
  target: [[0, 800]]
  base: [[0, 22]]
  pid: {kp: 0.010, ki: 0.012, kd: 0.002}
  clamp: {lowest: 0, highest: 60}
  spark: {base: [[0, 14]], rate: 0.01}
run: {duration: 120 s, step: 1 ms, record: 10 ms}
drill:
  name: plan
  events:
    - {at: 12.242 s, do: load, name: fan, torque: 4 N m, rise: 0.1 s, hold: 6 s}
    - {at: 24.311 s, do: throttle, opening: 8 %, until: 2600 rpm}
    - {at: 32.106 s, do: target, add: 500 rpm}
    - {at: 42.739 s, do: target, add: 0 rpm}
    - {at: 50.406 s, do: load, name: compressor, torque: 8 N m, rise: 0.15 s, hold: 8 s}
    - {at: 64.491 s, do: throttle, opening: 5 %, until: 3000 rpm}
    - {at: 74.159 s, do: target, add: 900 rpm}
    - {at: 82.093 s, do: target, add: 0 rpm}
    - {at: 92.069 s, do: load, name: fan, torque: 4 N m, rise: 0.1 s, hold: 5 s}
    - {at: 101.021 s, do: throttle, opening: 7 %, until: 2400 rpm}
    - {at: 109.412 s, do: load, name: compressor, torque: 8 N m, rise: 0.15 s, hold: 6 s}
`;

/** The plan up to a time, s. */
export const planUntil = (seconds: number): string =>
  PLAN.replace('120 s', `${seconds} s`).split('\n').filter((line) => !(Number(/at: ([\d.]+) s/.exec(line)?.[1] ?? 0) > seconds - 2)).join('\n');

export async function planned(more: readonly string[] = [], text = PLAN): Promise<Scenario> {
  const loaded = await loadScenario('plan.yaml', { set: more, read: () => text });
  if (loaded.scenarios === null) throw new Error(JSON.stringify(loaded.problems));
  return loaded.scenarios[0]!;
}

/** Steps of air and spark laid over the commands of a controller, each held for a random 0.6 … 3 s. */
export function shaken(settings: Scenario['controller'], seed: number, air = 2.5, spark = 6): Controller {
  const inner = createController(settings);
  const random = createRandom(seed);
  const full = settings.airFull!;
  const now = { until: 0, tick: 0, air: 0, spark: 0, sparkUntil: 0 };
  return {
    ...inner,
    step(measured): Readonly<Command> {
      const command = inner.step(measured);
      now.tick += 1;
      const t = now.tick * settings.periodS;
      if (t >= now.until) [now.until, now.air] = [t + 0.6 + 2.4 * random.uniform(), (air * full) / 100 * (2 * random.uniform() - 1)];
      if (t >= now.sparkUntil) [now.sparkUntil, now.spark] = [t + 0.4 + 1.2 * random.uniform(), spark * (2 * random.uniform() - 1)];
      const opened = Math.min(full, Math.max(0, command.air + now.air));
      return { ...command, air: opened, airFraction: opened / full, sparkDeg: command.sparkDeg + now.spark };
    },
  };
}

export interface RecorderOptions {
  readonly seed: number;
  readonly hz?: number;
  readonly noiseRpm?: number;
  readonly map?: boolean;
  readonly loads?: readonly string[];
}

/** A trace as a CSV file: true or sensed speed with noise, whole rpm; 0.1 kPa, 0.1 %, 0.5 degrees. */
export function csvOf(trace: Trace, { seed, hz = 20, noiseRpm = 2, map = true, loads = ['fan', 'compressor'] }: RecorderOptions, column: 'speedRpm' | 'sensedRpm' = 'sensedRpm'): string {
  const random = createRandom(seed * 7919 + 13);
  const every = Math.round(1 / hz / trace.recordS);
  const { columns: c } = trace;
  const on = (name: string, t: number): number => {
    const last = trace.events.filter((e) => e.name === name && e.engagedS <= t).at(-1);
    const [, hold] = / for ([\d.]+) s/.exec(last?.what ?? '') ?? [];
    return last !== undefined && hold !== undefined && t < last.engagedS + Number(hold) ? 1 : 0;
  };
  const lines = [`Time [s],Engine speed [rpm],${map ? 'MAP [kPa],' : ''}Idle valve [${trace.airUnit === '%' ? '%' : 'step'}],Spark advance [deg],Coolant [°C],Throttle [%]${loads.map((l) => `,${l}`).join('')}`];
  for (let k = 0; k < trace.rows; k += every) {
    const t = c.timeS[k]!;
    const cells = [t.toFixed(2), Math.max(0, Math.round(c[column][k]! + noiseRpm * random.normal()))];
    if (map) cells.push((c.mapKpa[k]! + 0.25 * random.normal()).toFixed(1));
    cells.push(c.air[k]!.toFixed(1), (Math.round(c.sparkDeg[k]! * 2) / 2).toFixed(1), c.coolantC[k]!.toFixed(0), c.throttlePct[k]!.toFixed(1));
    lines.push([...cells, ...loads.map((l) => on(l, t))].join(','));
  }
  return `${lines.join('\n')}\n`;
}

async function* chunks(text: string): AsyncGenerator<string> {
  yield text;
}

export const logOf = (csv: string, loads: readonly string[] = ['fan', 'compressor']): Promise<Log> =>
  readLog(chunks(csv), { name: 'log.csv', mapping: loads.map((l) => ({ channel: `load:${l}` as const, column: l, unit: null, place: { file: '--map', line: 0, column: 0 } })) });

/** Runs a scenario with its commands shaken. @param plant a plant of your own */
export function driven(scenario: Scenario, seed: number, plant?: Plant): Trace {
  const made = plant ?? createModel(scenario.engine, scenario.valve, { step: scenario.run.step, seed });
  return simulate(scenario, { plant: made, controller: shaken({ ...scenario.controller, airFull: scenario.controller.airFull ?? made.valve.full }, seed + 1000) });
}

/** The recording of a log, for an engine that is looked at through the file of `prior`. */
export function recordingOf(log: Log, prior: Scenario, loads: readonly string[] = ['fan', 'compressor']): { recording: FitRecording; base: Fitted } {
  const base = fittedFrom(prior, loads);
  return { base, recording: usable(log, { engine: base.engine, valve: { unit: prior.valve.kind === 'stepper' ? 'step' : '%', full: prior.controller.airFull! }, spark: 0.24 }) };
}
