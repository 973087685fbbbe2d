/**
 * The numbers that docs/model.md prints under "Physical sense", worked out by running the code: the default engine at a
 * warm idle (800 rpm, no load, coolant and oil 90 °C, spark 12° before top dead centre). Reader's units.
 */
import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import {
  type ColumnName,
  controllerTable,
  createPlant,
  drillTable,
  type EngineSettings,
  engineTable,
  fill,
  loadScenarioOrThrow,
  OMEGA,
  type Partly,
  type Plant,
  type PlantOptions,
  type PlantOutputs,
  PRESSURE,
  runTable,
  simulate,
  type Trace,
  valveTable,
} from '../../src/index.js';

const RPM = Math.PI / 30;
const DEG = Math.PI / 180;
const IDLE_RPM = 800;
const SPARK_DEG = 12;

const valve = fill({ valve: valveTable }).valve;

interface Steady {
  readonly plant: Plant;
  readonly pressure: number;
  readonly at: Readonly<PlantOutputs>;
}

/** The default engine held still by its valve. */
export function steady(
  rpm = IDLE_RPM,
  sparkDeg = SPARK_DEG,
  load = 0,
  engine: Partly<EngineSettings> = {},
  options: PlantOptions = {},
): Steady {
  const plant = createPlant(fill(engineTable, engine), valve, options);
  plant.inputs.spark = sparkDeg * DEG;
  plant.inputs.load = load;
  const { pressure, air } = plant.trimAt(rpm * RPM);
  plant.inputs.air = air;
  plant.reset({ omega: rpm * RPM, pressure, vehicleSpeed: null, engine: 'running' });
  return { plant, pressure, at: { ...plant.observe() } };
}

/** A second-order motion: natural frequency, Hz, and damping ratio. */
export interface Motion {
  readonly frequencyHz: number;
  readonly damping: number;
}

/** Of ω and p about the idle, both delays left out: slopes by central differences of one step of a microsecond. */
export function linearised(): Motion {
  const [step, share] = [1e-6, 1e-4];
  const { plant, pressure } = steady(IDLE_RPM, SPARK_DEG, 0, { delays: { charge: 0, spark: 0 } }, { step });
  const omega = IDLE_RPM * RPM;
  const rates = (dOmega: number, dPressure: number): readonly [number, number] => {
    plant.reset({ omega: omega + dOmega, pressure: pressure + dPressure, vehicleSpeed: null, engine: 'running' });
    plant.advance();
    return [(plant.state[OMEGA]! - omega - dOmega) / step, (plant.state[PRESSURE]! - pressure - dPressure) / step];
  };
  const slope = (dOmega: number, dPressure: number): readonly [number, number] => {
    const [up, down] = [rates(dOmega, dPressure), rates(-dOmega, -dPressure)];
    const width = 2 * (dOmega + dPressure);
    return [(up[0] - down[0]) / width, (up[1] - down[1]) / width];
  };
  const [a, c] = slope(share * omega, 0);
  const [b, d] = slope(0, share * pressure);
  const natural = Math.sqrt(a * d - b * c);
  return { frequencyHz: natural / (2 * Math.PI), damping: -(a + d) / (2 * natural) };
}

/** Speed, rpm, at each ms of the 40 s after a load of so many N·m has come on, the air held. */
export function afterLoad(torque: number, engine: Partly<EngineSettings> = {}): Float64Array {
  const { plant } = steady(IDLE_RPM, SPARK_DEG, 0, engine);
  plant.inputs.load = torque;
  return Float64Array.from({ length: 40_000 }, () => {
    const speed = plant.state[OMEGA]! / RPM;
    plant.advance();
    return speed;
  });
}

/** From two successive extremes of the response to a load so small that it is linear. @param speed at each ms */
export function fromResponse(speed: Float64Array): Motion {
  const final = speed.at(-1)!;
  const extremes: number[] = [];
  for (let k = 1; k + 1 < speed.length && extremes.length < 3; k++) {
    if ((speed[k]! - speed[k - 1]!) * (speed[k + 1]! - speed[k]!) < 0) extremes.push(k);
  }
  const [, second, third] = extremes as [number, number, number];
  const decrement = Math.log(Math.abs((speed[second]! - final) / (speed[third]! - final)));
  const damping = decrement / Math.sqrt(Math.PI ** 2 + decrement ** 2);
  const damped = Math.PI / ((third - second) * 1e-3);
  return { frequencyHz: damped / Math.sqrt(1 - damping ** 2) / (2 * Math.PI), damping };
}

/** Response to 1 N·m: its whole change, rpm, and the time after which it stays within 2 % of that, s. */
export function oneNewtonMetre(): { readonly settlingS: number; readonly changeRpm: number } {
  const speed = afterLoad(1);
  const final = speed.at(-1)!;
  const change = final - IDLE_RPM;
  let k = speed.length;
  while (k > 0 && Math.abs(speed[k - 1]! - final) <= 0.02 * Math.abs(change)) k--;
  return { settlingS: k * 1e-3, changeRpm: change };
}

/** 8 N·m through the loop with the air held. */
export function eightNewtonMetres(): Trace {
  const { plant } = steady();
  return simulate({
    engine: { model: 'mean-value', ...fill(engineTable) },
    valve,
    controller: fill(controllerTable, { hold: 100 * plant.inputs.air }),
    drill: fill(drillTable, { start: { speed: IDLE_RPM * RPM }, events: [{ do: 'load', at: 1, torque: 8 }] }),
    run: fill(runTable, { duration: 20 }),
  });
}

/** Indicated torque, N·m, of the idle's own charge at another spark. */
export function indicatedAt(sparkDeg: number): number {
  const { plant, pressure } = steady();
  plant.inputs.spark = sparkDeg * DEG;
  plant.reset({ omega: IDLE_RPM * RPM, pressure, vehicleSpeed: null, engine: 'running' });
  return plant.observe().indicated;
}

export const column = (trace: Trace, name: ColumnName): Float64Array => trace.columns[name].subarray(0, trace.rows);

/** The shipped free-rev: time from 1851 to 898 rpm, s, lowest speed after it, rpm, and lowest manifold pressure, kPa. */
export async function freeRev(): Promise<{ readonly fallS: number; readonly lowestRpm: number; readonly lowestKpa: number }> {
  const path = fileURLToPath(new URL('../../scenarios/free-rev.yaml', import.meta.url));
  const [scenario] = await loadScenarioOrThrow(path, { read: (file) => readFileSync(file, 'utf8') });
  const trace = simulate(scenario!);
  const [speed, time, map] = [column(trace, 'speedRpm'), column(trace, 'timeS'), column(trace, 'mapKpa')];
  const peak = speed.indexOf(Math.max(...speed));
  const below = (rpm: number): number => speed.findIndex((value, k) => k > peak && value <= rpm);
  return {
    fallS: time[below(898)]! - time[below(1851)]!,
    lowestRpm: Math.min(...speed.subarray(peak)),
    lowestKpa: Math.min(...map.subarray(peak)),
  };
}
