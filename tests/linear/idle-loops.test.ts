/** The parts of the idle's loops against closed forms and against the controller ticked by itself. */
import { describe, expect, test } from 'vitest';
import { fill } from '../../src/parameter/fill.js';
import { createController } from '../../src/controller/controller.js';
import { type ControllerSettings, controllerTable } from '../../src/controller/parameters.js';
import { type Complex, complex, divide, magnitude, multiply, scale, subtract } from '../../src/linear/complex.js';
import { linearController } from '../../src/linear/idle-controller.js';
import { characteristicAt, engineAt, enginePoles, exponential, meanOver, unstableEnginePoles } from '../../src/linear/idle-engine.js';
import { closedCharacteristic, idleLoop, idleMargins, idlePoles, linearIdleOf } from '../../src/linear/idle.js';
import { sampledSum, sensorAt } from '../../src/linear/idle-loops.js';
import { marginsOf } from '../../src/linear/margins.js';
import { warmMeasured } from './measured.js';
import { shipped } from '../trade/shipped.js';

const apart = (a: Complex, b: Complex): number => magnitude(subtract(a, b)) / magnitude(b);
const ONE = complex(1);

describe('sampling', () => {
  // an integrator driven by a held command, its reading the mean over one period: (h/2)·(z + 1)/(z·(z − 1)), by hand
  test('sum over the aliases of an integrator with a reading over one period: the closed form to 1e-6', () => {
    const h = 0.05;
    for (const omega of [0.3, 5, 20, 45, Math.PI / h]) {
      const s = complex(0, omega);
      const z = exponential(scale(s, h));
      const [got] = sampledSum((at) => [divide(meanOver(h, at), at)], h, s);
      const want = scale(divide({ re: z.re + 1, im: z.im }, multiply(z, subtract(z, ONE))), h / 2);
      if (omega < 60) expect(apart(got as Complex, want)).toBeLessThan(2e-5);
      else expect(magnitude(got as Complex)).toBeLessThan(1e-9); // z = −1: nothing comes through
    }
  });

  // ZOH of 1/(s + 1)³ in closed form, by its partial fractions: g_k = held cubic lag at whole periods, summed as a series
  test('sum over the aliases of a triple lag: its pulse response summed, to 1e-6', () => {
    const h = 0.2;
    const step = (t: number): number => 1 - Math.exp(-t) * (1 + t + (t * t) / 2);
    for (const omega of [0.5, 3, 12]) {
      let want = complex(0);
      for (let k = 1; k < 400; k++) want = { re: want.re + (step(k * h) - step((k - 1) * h)) * Math.cos(omega * h * k), im: want.im - (step(k * h) - step((k - 1) * h)) * Math.sin(omega * h * k) };
      const lag = (at: Complex): Complex => divide(ONE, { re: at.re + 1, im: at.im });
      const [got] = sampledSum((at) => [multiply(lag(at), multiply(lag(at), lag(at)))], h, complex(0, omega));
      expect(apart(got as Complex, want)).toBeLessThan(1e-6);
    }
  });

  test('a reading counts as one firing interval old, and so much weaker', () => {
    const sensor = sensorAt(0.04, complex(0, 10));
    expect(Math.atan2(sensor.im, sensor.re)).toBeCloseTo(-10 * 0.04, 12);
    expect(magnitude(sensor)).toBeCloseTo((Math.sin(0.2) / 0.2) ** 2, 12);
    expect(magnitude(sensorAt(0.04, complex(0)))).toBe(1);
  });

  // (1 − e^(−jφ))/(jφ) = sin φ/φ − j·(1 − cos φ)/φ, and 1 − cos φ = 2·sin²(φ/2)
  test('a mean keeps its digits where it is short', () => {
    for (const angle of [1e-7, 1e-5, 0.9e-3, 1.1e-3, 0.5]) {
      const { re, im } = meanOver(1, complex(0, angle));
      expect(Math.abs(re / (Math.sin(angle) / angle) - 1)).toBeLessThan(1e-12);
      expect(Math.abs(im / ((-2 * Math.sin(angle / 2) ** 2) / angle) - 1)).toBeLessThan(1e-9);
    }
  });
});

/** The controller ticked with a sine about the target; first harmonics of air and spark for each rpm below it. */
function ticked(settings: ControllerSettings, omega: number): { readonly air: Complex; readonly spark: Complex } {
  const controller = createController({ ...settings, airFull: 100 });
  const measured = warmMeasured();
  const h = settings.periodS;
  const perTurn = Math.round((2 * Math.PI) / omega / h);
  controller.seed(50, measured);
  const air = { re: 0, im: 0 };
  const spark = { re: 0, im: 0 };
  const turns = 120;
  for (let k = 0; k < turns * perTurn; k++) {
    const angle = (2 * Math.PI * k) / perTurn;
    measured.speedRpm = 800 - 0.5 * Math.sin(angle);
    const command = controller.step(measured);
    if (k < (turns - 1) * perTurn) continue;
    for (const [sum, value] of [[air, command.air - 50], [spark, command.sparkDeg]] as const) {
      sum.re += ((2 / perTurn) * value * Math.sin(angle)) / 0.5;
      sum.im += ((2 / perTurn) * value * Math.cos(angle)) / 0.5;
    }
  }
  return { air, spark };
}

describe('the controller', () => {
  const base = { targetRpm: { x: [80], y: [800] }, periodS: 0.02 };
  const CASES = {
    'three terms': { pid: { kp: 0.02, ki: 0.03, kd: 0.004, derivativeFilterS: 0.05 } },
    'integral moved ahead': { pid: { kp: 0.02, ki: 0.3, kd: 0, antiWindup: 'conditional-ahead' } },
    'derivative without a filter': { pid: { kp: 0, ki: 0, kd: 0.01, derivativeFilterS: 0 } },
    'back-calculation': { pid: { kp: 0.01, ki: 0.2, kd: 0.002, antiWindup: 'back-calculation' } },
    'spark with a washout': { pid: { kp: 0.01, ki: 0, kd: 0 }, spark: { rateDegPerRpm: 0.2, washoutS: 0.4 } },
    'spark with a slope': { pid: { kp: 0.01, ki: 0, kd: 0 }, spark: { rateDegPerRpm: 0.1, slopeDeg: { x: [600, 1000], y: [10, -10] } } },
  };
  test.each(Object.entries(CASES))('%s: as ticked by itself, to 1e-6', (_, given) => {
    const settings = fill(controllerTable, { ...base, ...given } as never);
    const linear = linearController(settings, 800);
    for (const perTurn of [20, 50, 157]) {
      const omega = (2 * Math.PI) / (perTurn * 0.02);
      const z = exponential(complex(0, omega * 0.02));
      const got = ticked(settings, omega);
      // an integral that began at a sine's start stands off by a constant, which the harmonic does not see
      expect(apart(got.air, linear.air(z))).toBeLessThan(1e-6);
      if (linear.sparkActs) expect(apart(got.spark, linear.spark(z))).toBeLessThan(1e-6);
    }
  });

  test('has nothing to say while the command is held, but for a slope of the spark', () => {
    const settings = fill(controllerTable, { ...base, hold: 20, spark: { rateDegPerRpm: 0.1 } } as never);
    expect(linearController(settings, 800)).toMatchObject({ airActs: false, sparkActs: false });
    expect(linearController(settings, 800).air(complex(2)).re).toBe(0);
  });
});

describe('poles', () => {
  test('of engine and closed loop are zeros of their characteristic functions', async () => {
    for (const file of ['solenoid.yaml', 'eight.yaml', 'stepper.yaml']) {
      const idle = linearIdleOf(await shipped(file, ['controller.spark.rate=0.05 deg/rpm']));
      const { engine, closed } = idlePoles(idle);
      expect(engine.length).toBeGreaterThan(0);
      expect(closed.length).toBeGreaterThan(0);
      const far = complex(1, 1);
      for (const pole of engine) expect(magnitude(characteristicAt(idle.engine, pole)) / magnitude(characteristicAt(idle.engine, far))).toBeLessThan(1e-5);
      const closedAt = closedCharacteristic(idle, engine);
      for (const pole of closed) expect(magnitude(closedAt(pole)) / magnitude(closedAt(far))).toBeLessThan(1e-3);
    }
  });

  test('and margins agree on what is stable: a light eight swings by itself, spark trim steadies it', async () => {
    const light = ['engine.inertia=0.05 kg m^2', 'controller.pid.kp=0', 'controller.pid.kd=0', 'controller.pid.ki=0.001'];
    const alone = linearIdleOf(await shipped('eight.yaml', light));
    expect(unstableEnginePoles(alone.engine)).toBe(2);
    expect(enginePoles(alone.engine)[0]!.re).toBeGreaterThan(0);
    expect(idleMargins(alone)).toMatchObject({ stable: false, worstMs: null });
    expect(idlePoles(alone).closed[0]!.re).toBeGreaterThan(0);
    const trimmed = linearIdleOf(await shipped('eight.yaml', [...light, 'controller.spark.rate=0.05 deg/rpm']));
    const found = idleMargins(trimmed);
    expect(found.stable).toBe(true);
    expect(idlePoles(trimmed).closed[0]!.re).toBeLessThan(0);
    expect(found.loops.sparkBreak!.gainReduction).toBeGreaterThan(0);
  });

  test('at the gain margin a pair of poles is on the axis, at the frequency told', async () => {
    const scenario = await shipped('eight.yaml');
    const { gainMargin, gainMarginAt } = idleMargins(linearIdleOf(scenario)).loops.air!;
    const { pid } = scenario.controller;
    const at = { ...scenario, controller: { ...scenario.controller, pid: { ...pid, kp: pid.kp * gainMargin!, ki: pid.ki * gainMargin!, kd: pid.kd * gainMargin! } } };
    const pole = idlePoles(linearIdleOf(at)).closed.find((each) => each.im > 0.5 * gainMarginAt!)!;
    expect(Math.abs(pole.re)).toBeLessThan(1e-3);
    expect(pole.im).toBeCloseTo(gainMarginAt!, 3);
  });
});

describe('breaks', () => {
  test('each actuator’s own gain margin is what its gains may grow by with the other loop closed', async () => {
    const scenario = await shipped('solenoid.yaml', ['controller.spark.rate=0.1 deg/rpm']);
    const { loops } = idleMargins(linearIdleOf(scenario));
    const more = { ...scenario, controller: { ...scenario.controller, spark: { ...scenario.controller.spark, rateDegPerRpm: 0.1 * loops.sparkBreak!.gainMargin! } } };
    const edge = linearIdleOf(more);
    const at = loops.sparkBreak!.gainMarginAt!;
    const whole = idleLoop(edge, 'both').at(at);
    expect(Math.hypot(whole.re + 1, whole.im)).toBeLessThan(1e-6);
    expect(marginsOf(idleLoop(edge, 'air')).stable).toBe(true);
  });

  test('every break says the same of the whole: a spark rate beyond its limit hunts, wherever it is cut', async () => {
    const { loops, stable } = idleMargins(linearIdleOf(await shipped('solenoid.yaml', ['controller.spark.rate=1.5 deg/rpm'])));
    expect(stable).toBe(false);
    expect([loops.both, loops.airBreak, loops.sparkBreak].map((each) => each!.unstablePoles)).toEqual([2, 2, 2]);
    expect(loops.air!.stable).toBe(true);
  });

  test('both loops broken at the speed are the sum of each', async () => {
    const idle = linearIdleOf(await shipped('three.yaml', ['controller.spark.rate=0.1 deg/rpm']));
    const [air, spark, both] = (['air', 'spark', 'both'] as const).map((name) => idleLoop(idle, name).at(3));
    expect(both!.re).toBeCloseTo(air!.re + spark!.re, 12);
    expect(both!.im).toBeCloseTo(air!.im + spark!.im, 12);
  });

  test('a loop is real at π/h, where a sampled one ends', async () => {
    const idle = linearIdleOf(await shipped('solenoid.yaml', ['controller.spark.rate=0.1 deg/rpm']));
    for (const name of ['air', 'spark', 'both'] as const) {
      const { at, to } = idleLoop(idle, name);
      const end = at(to);
      expect(Math.abs(end.im)).toBeLessThan(1e-5 * Math.abs(end.re));
    }
  });

  test('an engine’s gains at rest are what trim says: air to speed, on the four', async () => {
    const scenario = await shipped('solenoid.yaml');
    const at = async (rpm: number): Promise<number> => linearIdleOf({ ...scenario, controller: { ...scenario.controller, targetRpm: { x: [80], y: [rpm] } } }).equilibrium.air;
    const slope = (((await at(801)) - (await at(799))) / 2) * (30 / Math.PI);
    expect(engineAt(linearIdleOf(scenario).engine, complex(0)).fromAir.re * slope).toBeCloseTo(1, 4);
  });
});
