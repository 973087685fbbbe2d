/**
 * A second plant: the regression model of a four-cylinder engine by Crossley and Cook. It is here because its numbers are
 * published, so that loop, delays and integrator can be proven on an engine that nobody here invented.
 *
 *     ṁ_in  = f(θ)·g(p)          f = 2.821 − 0.05231θ + 0.10299θ² − 0.00063θ³     g: `pressureTerm`
 *     ṁ_out = −0.366 + 0.08979·N·p − 0.0337·N·p² + 0.0001·N²·p
 *     dp/dt = 0.41328·(ṁ_in − ṁ_out)          J·dN/dt = T(m_a, N, σ) − T_load
 *
 * θ throttle, degrees; p bar; N rad/s; flows g/s; m_a charge a firing, g; σ spark, °BTDC; J = 0.14 kg m².
 * T is brake torque: pumping and friction are in the regression.
 *
 * Source: P. R. Crossley and J. A. Cook, A nonlinear engine model for drivetrain system development, IEE Int. Conf. Control
 * '91, 1991, pp. 921–925. The paper prints 0.0063·θ³; only 0.00063 makes its operating point an equilibrium.
 * `sampled` is the paper's scheme: the charge is integrated over each half turn and fires one half turn later.
 */
import { createDelayLine } from '../numerics/delay-line.js';
import { findRoot } from '../numerics/root.js';
import { createRungeKutta } from '../numerics/runge-kutta.js';
import { own, si, type Values, variant } from '../parameter/table.js';
import { ANGLE, type EngineState, OMEGA, type Plant, type PlantInputs, type PlantOutputs, PRESSURE } from './types.js';

export const regressionTable = {
  inertia: si({ unit: 'kg m^2', default: 0.14, min: 0.01, max: 2, meaning: 'crank and what turns with it', source: 'Crossley and Cook 1991' }),
  airFuel: own({ unit: '1', default: 14.6, min: 10, max: 20, meaning: 'air to fuel, by mass', source: 'Crossley and Cook 1991' }),
  travel: own({ as: 'travelDeg', unit: 'deg', default: 20, min: 5, max: 90, meaning: 'throttle angle that the air command of 100 % gives', source: 'assumed' }),
  delay: variant({
    tag: 'by',
    options: {
      sampled: {},
      angle: { angle: si({ unit: 'deg', default: 360, min: 0, max: 1440, meaning: 'crank angle from a charge to its torque', source: 'assumed: what the sampled scheme amounts to' }) },
    },
    default: 'sampled',
    meaning: 'how the charge becomes torque',
  }),
  stall: si({ unit: 'rpm', default: 300, min: 50, max: 1000, meaning: 'speed at and below which the engine has stalled', source: 'assumed' }),
} as const;
export type RegressionSettings = Values<typeof regressionTable>;

const AMBIENT = 1;
const PER_VOLUME = 0.41328;
const BAR = 1e5;
const HALF_TURN = Math.PI;
const CHARGE = 4;

/** f(θ), g/s at g = 1. @param theta throttle, degrees */
export const areaTerm = (theta: number): number => 2.821 + theta * (-0.05231 + theta * (0.10299 - 0.00063 * theta));

/** g(p). @param pressure bar */
export function pressureTerm(pressure: number): number {
  if (pressure <= AMBIENT / 2) return 1;
  if (pressure <= AMBIENT) return (2 / AMBIENT) * Math.sqrt(pressure * AMBIENT - pressure * pressure);
  if (pressure <= 2 * AMBIENT) return (-2 / pressure) * Math.sqrt(pressure * AMBIENT - AMBIENT * AMBIENT);
  return -1;
}

/** ṁ_out, g/s. @param speed rad/s  @param pressure bar */
export const pumpingFlow = (speed: number, pressure: number): number =>
  -0.366 + speed * (0.08979 * pressure - 0.0337 * pressure * pressure + 0.0001 * speed * pressure);

/** Brake torque, N·m. @param charge g a firing  @param speed rad/s  @param spark °BTDC  @param airFuel by mass */
export const regressionTorque = (charge: number, speed: number, spark: number, airFuel: number): number =>
  -181.3 + 379.36 * charge + airFuel * (21.91 - 0.85 * airFuel) + spark * (0.26 - 0.0028 * spark) +
  speed * (0.027 - 0.000107 * speed + 0.00048 * spark) + charge * spark * (2.55 - 0.05 * spark);

/** Charge a firing, g, at a steady speed. */
export const chargeOf = (speed: number, pressure: number): number => (HALF_TURN * pumpingFlow(speed, pressure)) / speed;

/** @param step integration step, s */
export function createRegressionPlant(settings: RegressionSettings, options: { readonly step?: number } = {}): Plant {
  const { step = 0.001 } = options;
  const { airFuel, travelDeg, stall } = settings;
  const sampled = settings.delay.by === 'sampled';
  const delay = settings.delay.by === 'angle' ? settings.delay.angle : 0;
  const line = createDelayLine(delay, 8192);
  const inputs: PlantInputs = {
    air: 0, spark: 0, pedal: 0, load: 0, loadPower: 0, loadSquare: 0, electrical: 0, unasked: 0, clutch: 0, gear: 0,
    supply: 14, supplyHeld: false, coolant: 363.15, oil: 363.15, starter: false,
  };
  const state = new Float64Array(5); // the fifth: charge of the window that is filling, g
  const before = new Float64Array(5);
  const rungeKutta = createRungeKutta(5);
  const delayed = new Float64Array(3);
  const now = { engine: 'off' as EngineState, theta: 0.5, unasked: 0.5, spark: 0.5, held: 0.5, stored: 0.5, next: 0.5 };

  const readInputs = (): void => {
    now.theta = travelDeg * inputs.air + (90 - travelDeg) * inputs.pedal;
    now.spark = (inputs.spark * 180) / Math.PI;
    now.unasked = 1e3 * inputs.unasked; // 60 kPa of depression is beyond choking, where g is 1
  };
  const loadTorque = (speed: number): number => inputs.load + inputs.loadPower / (speed > 2 ? speed : 2) + inputs.loadSquare * speed * speed;

  const derivative = (x: Float64Array, stage: 0 | 1 | 2, dx: Float64Array): void => {
    const speed = x[OMEGA]!;
    const pressure = x[PRESSURE]! / BAR;
    const out = pumpingFlow(speed, pressure);
    const charge = sampled ? now.held : delay > 0 ? delayed[stage]! : (HALF_TURN * out) / speed;
    dx[OMEGA] = (regressionTorque(charge, speed, now.spark, airFuel) - loadTorque(speed)) / settings.inertia;
    dx[ANGLE] = speed;
    dx[PRESSURE] = BAR * PER_VOLUME * ((areaTerm(now.theta) + now.unasked) * pressureTerm(pressure) - out);
    dx[3] = 0;
    dx[CHARGE] = out;
  };

  /** One step in which the crank events are located: the window closes, the one before it fires. */
  const advanceSampled = (): void => {
    let left = step;
    for (;;) {
      before.set(state);
      rungeKutta(derivative, state, left);
      if (state[ANGLE]! < now.next) return;
      let part = left;
      for (let i = 0; i < 8 && Math.abs(state[ANGLE]! - now.next) > 1e-13 * now.next; i++) {
        part -= (state[ANGLE]! - now.next) / state[OMEGA]!;
        state.set(before);
        rungeKutta(derivative, state, part);
      }
      now.held = now.stored;
      now.stored = state[CHARGE]!;
      state[CHARGE] = 0;
      now.next += HALF_TURN;
      left -= part;
      if (left <= 0) return;
    }
  };

  const advanceDelayed = (): void => {
    if (delay > 0) {
      line.push(state[ANGLE]!, chargeOf(state[OMEGA]!, state[PRESSURE]! / BAR));
      delayed[0] = line.read(state[ANGLE]!);
      delayed[2] = line.read(state[ANGLE]! + step * state[OMEGA]!);
      delayed[1] = 0.5 * (delayed[0]! + delayed[2]!);
    }
    rungeKutta(derivative, state, step);
    state[CHARGE] = 0;
  };

  const outputs: PlantOutputs = {
    engine: 'off', omega: 0.5, pressure: 0.5, airIn: 0.5, airOut: 0.5, fuel: 0.5, opening: 0.5, plate: 0.5,
    indicated: 0.5, pumping: 0, friction: 0, load: 0.5, clutch: 0, spark: 0.5, vehicleSpeed: 0, coolant: 0.5,
  };

  return {
    step,
    firingInterval: HALF_TURN,
    stallSpeed: stall,
    ambientTemperature: 298.15,
    valve: { unit: '%', full: 100 },
    inputs,
    state,
    reset(start) {
      readInputs();
      now.engine = start.engine;
      const inflow = (bar: number): number => (areaTerm(now.theta) + now.unasked) * pressureTerm(bar) - pumpingFlow(start.omega, bar);
      const bar = start.pressure === null ? findRoot(inflow, 0.001, 2, 1e-14, 'manifold pressure') : start.pressure / BAR;
      state.fill(0);
      state[OMEGA] = start.omega;
      state[PRESSURE] = bar * BAR;
      const charge = chargeOf(start.omega, bar);
      now.held = charge;
      now.stored = charge;
      now.next = HALF_TURN;
      line.fill(0, charge);
    },
    advance() {
      readInputs();
      if (sampled) advanceSampled();
      else advanceDelayed();
      if (now.engine === 'running' && state[OMEGA]! <= stall) now.engine = 'stalled';
    },
    engine: () => now.engine,
    observe() {
      readInputs();
      const speed = state[OMEGA]!;
      const bar = state[PRESSURE]! / BAR;
      const out = pumpingFlow(speed, bar);
      const charge = sampled ? now.held : delay > 0 ? line.read(state[ANGLE]!) : (HALF_TURN * out) / speed;
      outputs.engine = now.engine;
      outputs.omega = speed;
      outputs.pressure = state[PRESSURE]!;
      outputs.airIn = ((areaTerm(now.theta) + now.unasked) * pressureTerm(bar)) / 1e3;
      outputs.airOut = out / 1e3;
      outputs.fuel = out / 1e3 / airFuel;
      outputs.opening = inputs.air;
      outputs.plate = inputs.pedal;
      outputs.indicated = regressionTorque(charge, speed, now.spark, airFuel);
      outputs.load = loadTorque(speed);
      outputs.spark = inputs.spark;
      outputs.coolant = inputs.coolant;
      return outputs;
    },
    trimAt(omega) {
      readInputs();
      const surplus = (bar: number): number => regressionTorque(chargeOf(omega, bar), omega, now.spark, airFuel) - loadTorque(omega);
      const bar = surplus(0.999) <= 0 ? 0.999 : findRoot(surplus, 0.02, 0.999, 1e-14, 'manifold pressure');
      const wanted = pumpingFlow(omega, bar) / pressureTerm(bar) - now.unasked;
      // f has its least, 2.81 g/s, at 0.25°: less air than that no throttle angle gives
      const theta = wanted <= areaTerm(0.3) ? 0 : wanted >= areaTerm(90) ? 90 : findRoot((t) => areaTerm(t) - wanted, 0.3, 90, 1e-12, 'throttle angle');
      return { pressure: bar * BAR, air: (theta - (90 - travelDeg) * inputs.pedal) / travelDeg };
    },
  };
}
