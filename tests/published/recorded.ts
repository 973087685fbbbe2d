/**
 * Our numbers beside those of recorded idles: an invented 1.5 L four with what a car hangs on it, and the shipped 1.8 L four.
 * Shipped engine, valve, controller and drills; the base air is solved as `tickover setup` solves it. Reader's units.
 */
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { simulate } from '../../src/loop/simulate.js';
import type { ColumnName, Trace } from '../../src/loop/trace.js';
import { interpolate } from '../../src/numerics/curve.js';
import { formatProblem, loadScenario, type Scenario } from '../../src/scenario/index.js';
import { scoreTrace } from '../../src/score/index.js';
import { withController } from '../../src/setup/apply.js';
import { baseFor } from '../../src/setup/base.js';
import { createBench, NO_DEMAND } from '../../src/setup/bench.js';

const SCENARIOS = fileURLToPath(new URL('../../scenarios/', import.meta.url));

/** Speed that the 1.5 L four was seen at against coolant: from 37 °C more than 45 s after its start, before that as it started (eron93br/carOBD). */
export const RECORDED_TARGET = [[27, 1420], [32, 1100], [37, 975], [42, 943], [47, 901], [52, 854], [57, 809], [62, 763], [67, 719], [72, 683], [77, 665], [87, 653]] as const;
const CURVE = JSON.stringify(RECORDED_TARGET);
/** Coolant of the warm rows, °C. */
export const WARM_C = 87;

/** The invented 1.5 L four at the recorded speeds. @param more further lines of YAML, such as a drill */
export const fifteen = (more: string, controller = '', engine = ''): string => `
engine:
  from: engines/four-1.8-fitted.yaml
  displacement: 1.5 L
  manifold: {volume: 2.2 L}
  ${engine}
valve: {from: valves/solenoid.yaml}
controller:
  from: controllers/solenoid.yaml
  target: ${CURVE}
  ${controller}
${more}
`;

/** The shipped 1.8 L four with everything on it; or an invented 2.0 L four made of it, at the speed of the second record. */
export const eighteen = (more: string, controller = '', engine = ''): string => `
engine:
  from: engines/four-1.8-fitted.yaml
  ${engine}
valve: {from: valves/solenoid.yaml}
controller:
  from: controllers/solenoid.yaml
  ${controller}
${more}
`;
export const twenty = (more: string, controller = '', engine = ''): string =>
  eighteen(more, `target: [[80, 713]]\n  ${controller}`, `displacement: 2 L\n  manifold: {volume: 3 L}\n  ${engine}`);

/** Reads a text as if it lay beside the shipped scenarios, with its base air solved. */
export async function read(text: string): Promise<Scenario> {
  const loaded = await loadScenario('recorded.yaml', { set: [], read: (path) => (path === 'recorded.yaml' ? text : readFileSync(join(SCENARIOS, path), 'utf8')) });
  if (loaded.scenarios === null) throw new Error(loaded.problems.map(formatProblem).join('\n'));
  const scenario = loaded.scenarios[0]!;
  const bench = createBench(scenario);
  const solved = withController(scenario, { base: baseFor(scenario, bench).curve });
  // what each load costs in air: settled command with it less without it, as `tickover setup` has it
  const loads = solved.controller.loads.map((load) => {
    const machine = bench.machines.find(({ name }) => name === load.name)!;
    const rpm = interpolate(solved.controller.targetRpm, WARM_C);
    const demand = { ...NO_DEMAND, torque: machine.torque, square: machine.square, power: machine.power };
    return { ...load, air: bench.airAt(WARM_C, rpm + load.speedUpRpm, demand) - bench.airAt(WARM_C, rpm) };
  });
  return withController(solved, { loads });
}

export const run = async (text: string): Promise<Trace> => simulate(await read(text));
export const column = (trace: Trace, name: ColumnName): Float64Array => trace.columns[name].subarray(0, trace.rows);

/** Row of a time, s. */
const rowAt = ({ recordS }: Trace, timeS: number): number => Math.round(timeS / recordS);
/** A column at a time, s. */
export const at = (trace: Trace, name: ColumnName, timeS: number): number => trace.columns[name][Math.min(trace.rows - 1, rowAt(trace, timeS))]!;
/** A column between two times, s. */
export const between = (trace: Trace, name: ColumnName, fromS: number, toS: number): Float64Array => trace.columns[name].subarray(rowAt(trace, fromS), Math.min(trace.rows, rowAt(trace, toS)));

export const mean = (values: Float64Array): number => values.reduce((sum, value) => sum + value, 0) / values.length;
export const deviation = (values: Float64Array): number => Math.sqrt(mean(values.map((value) => (value - mean(values)) ** 2)));
export const least = (values: Float64Array): number => values.reduce((a, b) => Math.min(a, b), Number.POSITIVE_INFINITY);
export const most = (values: Float64Array): number => values.reduce((a, b) => Math.max(a, b), Number.NEGATIVE_INFINITY);

/** Time from `fromS` after which the speed stays within so many rpm of its target until `toS`, s. */
export function heldAfter(trace: Trace, withinRpm: number, fromS: number, toS: number): number {
  const speed = between(trace, 'speedRpm', fromS, toS);
  const target = between(trace, 'targetRpm', fromS, toS);
  let k = speed.length;
  while (k > 0 && Math.abs(speed[k - 1]! - target[k - 1]!) <= withinRpm) k--;
  return k * trace.recordS;
}

/** When the engine first turns faster than the starter turns it, s: it has caught. */
export const caughtAt = (trace: Trace, rpm = 400): number => column(trace, 'speedRpm').findIndex((speed) => speed > rpm) * trace.recordS;

/** Settling of an event by the tool's own measure: ±25 rpm held for 1 s, s after the request; null where it does not. */
export const settlingOf = (scenario: Scenario, trace: Trace, name: string): number | null =>
  scoreTrace(trace, scenario.limits, scenario.scoring).events.find((event) => event.name === name)?.settlingTimeS ?? null;
