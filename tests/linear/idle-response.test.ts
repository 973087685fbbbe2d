/** The linearised idle against the simulated one: sines put into the real plant, at the seams where the loop would. */
import { describe, expect, test } from 'vitest';
import { type Complex, complex, magnitude, phase } from '../../src/linear/complex.js';
import { engineAt } from '../../src/linear/idle-engine.js';
import { linearIdleOf, type LinearIdle } from '../../src/linear/idle.js';
import { sampledPlantAt } from '../../src/linear/idle-loops.js';
import type { Setup } from '../../src/loop/setup.js';
import { createSpeedSensor } from '../../src/loop/speed-sensor.js';
import { fill } from '../../src/parameter/fill.js';
import { createModel } from '../../src/plant/models.js';
import { OMEGA, type Plant } from '../../src/plant/types.js';
import { valveTable } from '../../src/plant/valves/index.js';
import { shipped } from '../trade/shipped.js';

const SETTLE_S = 9;
const RPM = 30 / Math.PI;
/** Step of the simulated engine, s: a command lies on the next step, half of one late on the mean. */
const STEP = 0.0005;

/** Correlates what `read` gives with a sine over whole periods, once the start has died away. */
function measure(plant: Plant, omega: number, put: (k: number, sine: number) => void, read: (k: number) => number | null, seconds = 4): Complex {
  const perPeriod = Math.round((2 * Math.PI) / omega / plant.step);
  const settle = Math.ceil(SETTLE_S / plant.step / perPeriod) * perPeriod;
  const last = settle + perPeriod * Math.max(1, Math.ceil(seconds / plant.step / perPeriod));
  let [re, im, count] = [0, 0, 0];
  for (let k = 0; k < last; k++) {
    put(k, Math.sin((2 * Math.PI * k) / perPeriod));
    const value = read(k);
    if (k >= settle && value !== null) {
      const angle = (2 * Math.PI * k) / perPeriod;
      re += value * Math.sin(angle);
      im += value * Math.cos(angle);
      count += 1;
    }
    plant.advance();
  }
  return complex((2 * re) / count, (2 * im) / count);
}

/** The scenario's plant at rest at its linearised idle. */
function atRest(setup: Setup, idle: LinearIdle, step: number): Plant {
  const plant = createModel(setup.engine, setup.valve, { step });
  Object.assign(plant.inputs, idle.equilibrium.inputs);
  const { omega, pressure } = idle.equilibrium;
  plant.reset({ omega, pressure, vehicleSpeed: null, engine: 'running' });
  return plant;
}

/** Frequency nearest to the one wanted with a whole number of steps a period. */
const whole = (omega: number, step: number): number => (2 * Math.PI) / (Math.round((2 * Math.PI) / omega / step) * step);

function expectClose(got: Complex, want: Complex, part: number, degrees: number): void {
  expect(Math.abs(magnitude(got) / magnitude(want) - 1)).toBeLessThan(part);
  const turned = phase(got) - phase(want);
  expect(Math.abs(Math.atan2(Math.sin(turned), Math.cos(turned)) * (180 / Math.PI))).toBeLessThan(degrees);
}

const FILM = ['engine.wallFilm.is=on', 'engine.wallFilm.fraction=0.4', 'engine.wallFilm.time=0.4 s'];
const ALTERNATOR = ['engine.alternator.fitted=yes', 'engine.alternator.demand=600 W'];
const CASES: readonly (readonly [string, string, readonly string[]])[] = [
  ['the four', 'solenoid.yaml', []],
  ['the three', 'three.yaml', []],
  ['the eight', 'eight.yaml', []],
  ['the four, cold', 'solenoid.yaml', ['drill.start.coolant=0 degC']],
  ['the four with an alternator', 'solenoid.yaml', ALTERNATOR],
];

describe('command to crank speed, by sines of 1, 4 and 20 rad/s: within 1 % and 1°', () => {
  test.each(CASES)('%s', async (_, file, set) => {
    const setup = await shipped(file, [...set, `run.step=${STEP} s`]);
    const idle = linearIdleOf(setup);
    for (const wanted of [1, 4, 20]) {
      const omega = whole(wanted, STEP);
      const linear = engineAt(idle.engine, complex(0, omega));
      const air = atRest(setup, idle, STEP);
      const small = 0.002;
      const byAir = measure(air, omega, (_k, sine) => { air.inputs.air = idle.equilibrium.air + small * sine; }, () => air.state[OMEGA]! / small);
      expectClose(byAir, linear.fromAir, 0.01, 1);
      const spark = atRest(setup, idle, STEP);
      const bySpark = measure(spark, omega, (_k, sine) => { spark.inputs.spark = idle.equilibrium.spark + small * sine; }, () => spark.state[OMEGA]! / small);
      expectClose(bySpark, linear.fromSpark, 0.01, 1);
      if (wanted !== 4) continue;
      const load = atRest(setup, idle, STEP);
      const byLoad = measure(load, omega, (_k, sine) => { load.inputs.load = 0.05 * sine; }, () => load.state[OMEGA]! / 0.05);
      expectClose(byLoad, linear.fromLoad, 0.01, 1);
    }
  });

  test('a wall film that leans the mixture as air comes in, which counts at 12 rad/s', async () => {
    const setup = await shipped('solenoid.yaml', [...FILM, `run.step=${STEP} s`, 'drill.start.coolant=60 degC']);
    const idle = linearIdleOf(setup);
    const dry = { ...idle.engine, film: null };
    for (const wanted of [1, 3, 12]) {
      const omega = whole(wanted, STEP);
      const plant = atRest(setup, idle, STEP);
      const got = measure(plant, omega, (_k, sine) => { plant.inputs.air = idle.equilibrium.air + 0.002 * sine; }, () => plant.state[OMEGA]! / 0.002);
      expectClose(got, engineAt(idle.engine, complex(0, omega)).fromAir, 0.01, 1);
      if (wanted === 12) expect(Math.abs(magnitude(got) / magnitude(engineAt(dry, complex(0, omega)).fromAir) - 1)).toBeGreaterThan(0.05);
    }
  });

  test('a throttle motor', async () => {
    const setup = await shipped('solenoid.yaml', [`run.step=${STEP} s`]);
    const { valve } = fill({ valve: valveTable }, { valve: { kind: 'throttle-motor', smallest: 0, rate: 20000 } });
    const scenario = { ...setup, valve };
    const idle = linearIdleOf(scenario);
    for (const wanted of [2, 8, 25]) {
      const omega = whole(wanted, STEP);
      const plant = atRest(scenario, idle, STEP);
      const got = measure(plant, omega, (_k, sine) => { plant.inputs.air = idle.equilibrium.air + 0.002 * sine; }, () => plant.state[OMEGA]! / 0.002);
      expectClose(got, engineAt(idle.engine, complex(0, omega)).fromAir, 0.01, 1);
    }
  });
});

describe('command held over a tick to reading at a tick, sensor and hold included: within 1 % and 1°', () => {
  // firings and ticks must not keep step with each other, or the age of a reading is not what it is on the mean
  test.each([
    ['the four', 'solenoid.yaml', [], 0.0195],
    ['a slow controller', 'solenoid.yaml', [], 0.0405],
    ['the three', 'three.yaml', [], 0.0195],
    ['the eight, a quick controller', 'eight.yaml', [], 0.0055],
  ] as const)('%s', async (_, file, set, period) => {
    const setup = await shipped(file, [...set, `controller.period=${period} s`, `run.step=${STEP} s`]);
    const idle = linearIdleOf(setup);
    const every = Math.round(period / STEP);
    for (const wanted of [2, 7, 18]) {
      const perPeriod = Math.round((2 * Math.PI) / wanted / period) * every;
      const omega = (2 * Math.PI) / (perPeriod * STEP);
      const linear = sampledPlantAt(idle, complex(0, omega));
      for (const which of ['air', 'spark'] as const) {
        const plant = atRest(setup, idle, STEP);
        const sensor = createSpeedSensor(plant, 0);
        sensor.reset(idle.equilibrium.omega);
        const small = which === 'air' ? 0.002 : 0.004;
        let k0 = -1;
        const got = measure(plant, omega, (k, sine) => {
          if (k > k0 && k > 0) sensor.update(k);
          k0 = k;
          if (k % every === 0) plant.inputs[which] = idle.equilibrium[which] + small * sine;
        }, (k) => (k % every === 0 ? sensor.readRpm(k) - idle.equilibrium.omega * RPM : null), 12);
        const unit = which === 'air' ? small * idle.airFull : (small * 180) / Math.PI;
        expectClose({ re: got.re / unit, im: got.im / unit }, linear[which], 0.01, 1);
      }
    }
  });
});
