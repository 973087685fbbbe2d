/**
 * An engine of another kind than the project's: to see whether gains tuned on the one hold on the other. Invented, about a 1.8 L four.
 *
 * It is built of events where ours is built of means. Each cylinder draws its charge over its own intake stroke and pushes over its
 * own power stroke a turn later, so the crank feels pulses; what it draws lacks the residual gas; the plenum's air warms as it is
 * pressed together; friction and the spark's effect follow other laws; the valve flows by another law and lags twofold.
 */
import { createRandom } from '../../src/numerics/random.js';
import { ANGLE, OMEGA, type Plant, type PlantInputs, type PlantOutputs, PRESSURE } from '../../src/plant/types.js';

const R = 287;
const GAMMA = 1.4;
const AIR = { temperature: 293.15, pressure: 101_325 };
const CYLINDERS = 4;
const SWEPT = 1.8e-3;
const PER = (4 * Math.PI) / CYLINDERS; // crank angle between firings
const HEAT = 43e6 / 14.7; // J in the fuel of a kilogram of air
const RAD = Math.PI / 180;

export interface ForeignSettings {
  readonly step: number;
  readonly inertia?: number;
  readonly volume?: number;
  /** kg/s at 60 kPa of depression, wide open. */
  readonly valveFlow?: number;
  /** Spread of the charges burnt, of 1. */
  readonly roughness?: number;
  readonly seed?: number;
}

/** Bernoulli’s law with a cap where it chokes: not the isentropic one. */
const flowLaw = (ratio: number): number => Math.sqrt(1 - Math.max(0.5, Math.min(1, ratio)));
/** Best at 28° before top dead centre; cosine to the power 3 of what it is off. */
const sparkWorth = (spark: number): number => Math.max(0, Math.cos(Math.min(1.2, Math.abs(spark - 28 * RAD)))) ** 3;
/** bar: a constant, a linear and a square part of the speed in thousands of rpm. */
const fmep = (omega: number): number => {
  const n = (omega * 30) / Math.PI / 1000;
  return 1.05 + 0.12 * n + 0.05 * n * n;
};
/** kg that a cylinder draws from a pressure: residual gas at the exhaust's takes its place. */
const drawn = (pressure: number, temperature: number): number => (0.96 * SWEPT / CYLINDERS / (R * temperature)) * Math.max(0, pressure - 0.09 * AIR.pressure);

export function createForeignEngine({ step, inertia = 0.15, volume = 2.6e-3, valveFlow = 9e-3, roughness = 0, seed = 1 }: ForeignSettings): Plant {
  const random = createRandom(seed);
  const valveScale = valveFlow / flowLaw(1 - 60_000 / AIR.pressure);
  const leak = 0.6e-3 / flowLaw(0.5);
  const plateScale = 0.18;
  const state = new Float64Array(4);
  // temperature of the plenum; valve in two lags; charge that burns in this firing interval, that being compressed, that being drawn
  const own = { temperature: 0, first: 0, opening: 0, plate: 0, burning: 0, compressed: 0, drawing: 0, spark: 0, next: 0, in: 0, out: 0, indicated: 0, dead: false };
  const inputs: PlantInputs = {
    air: 0, spark: 0, pedal: 0, load: 0, loadPower: 0, loadSquare: 0, electrical: 0, unasked: 0, clutch: 1, gear: 0, supply: 14, supplyHeld: true,
    coolant: 363.15, oil: 363.15, starter: false,
  };
  const outputs: PlantOutputs = {
    engine: 'running', omega: 0, pressure: 0, airIn: 0, airOut: 0, fuel: 0, opening: 0, plate: 0, indicated: 0, pumping: 0, friction: 0, load: 0, clutch: 0,
    spark: 0, vehicleSpeed: 0, coolant: 0,
  };
  const loadAt = (omega: number): number => inputs.load + inputs.loadSquare * omega * omega + inputs.loadPower / Math.max(20, omega);
  const frictionAt = (omega: number): number => (fmep(omega) * 1e5 * SWEPT) / (4 * Math.PI);
  const pumpingAt = (pressure: number): number => ((AIR.pressure - pressure) * SWEPT) / (4 * Math.PI);
  const workOf = (mass: number, spark: number): number => 0.36 * HEAT * mass * sparkWorth(spark);
  const inflow = (pressure: number): number => (valveScale * own.opening + leak + plateScale * own.plate * own.plate) * flowLaw(pressure / AIR.pressure);
  const engine = () => (own.dead ? 'stalled' : 'running');

  function trimAt(omega: number): { readonly pressure: number; readonly air: number } {
    // torque needed fixes the charge, that the pressure, that the flow
    let [low, high] = [0.1 * AIR.pressure, AIR.pressure];
    for (let i = 0; i < 60; i++) {
      const middle = (low + high) / 2;
      const torque = workOf(drawn(middle, AIR.temperature), inputs.spark) / PER - pumpingAt(middle) - frictionAt(omega) - loadAt(omega);
      if (torque < 0) low = middle;
      else high = middle;
    }
    const wanted = (drawn(high, AIR.temperature) * omega) / PER;
    return { pressure: high, air: (wanted / flowLaw(high / AIR.pressure) - leak) / valveScale };
  }

  return {
    step, firingInterval: PER, stallSpeed: (300 * Math.PI) / 30, ambientTemperature: AIR.temperature, valve: { unit: '%', full: 100 }, inputs, state, trimAt, engine,
    reset({ omega, pressure }) {
      state.fill(0);
      state[OMEGA] = omega;
      state[PRESSURE] = pressure ?? trimAt(omega).pressure;
      const charge = drawn(state[PRESSURE]!, AIR.temperature);
      Object.assign(own, { temperature: AIR.temperature, first: inputs.air, opening: inputs.air, plate: 0, burning: charge, compressed: charge, drawing: 0, spark: inputs.spark, next: PER, dead: false });
    },
    advance() {
      const omega = state[OMEGA]!;
      const pressure = state[PRESSURE]!;
      own.first += (step / 0.025) * (inputs.air - own.first);
      own.opening += (step / 0.025) * (own.first - own.opening);
      own.plate += Math.max(-step / 0.15, Math.min(step / 0.1, inputs.pedal - own.plate));
      // the piston on its intake stroke moves with the sine of the crank angle
      const phase = Math.min(Math.PI, ((state[ANGLE]! - own.next + PER) * Math.PI) / PER);
      own.in = inflow(pressure);
      own.out = drawn(pressure, own.temperature) * 0.5 * Math.sin(phase) * ((omega * Math.PI) / PER);
      own.drawing += own.out * step;
      const mass = (pressure * volume) / (R * own.temperature);
      // filling warms what is there, drawing cools it; the walls bring it back in a fifth of a second
      const warming = (own.in * (GAMMA * AIR.temperature - own.temperature) - own.out * (GAMMA - 1) * own.temperature) / mass + (AIR.temperature - own.temperature) / 0.2;
      state[PRESSURE] = pressure + step * ((R * own.temperature * (own.in - own.out) + mass * R * warming) / volume);
      own.temperature += step * warming;
      own.indicated = (workOf(own.burning, own.spark) / PER) * (1 - Math.cos(2 * phase));
      const net = own.indicated - pumpingAt(pressure) - frictionAt(omega) - loadAt(omega);
      state[OMEGA] = Math.max(0, omega + (step * net) / inertia);
      state[ANGLE] = state[ANGLE]! + step * omega;
      if (state[ANGLE]! >= own.next) {
        own.next += PER;
        own.burning = own.compressed * (1 + roughness * random.normal());
        own.compressed = own.drawing;
        own.drawing = 0;
        own.spark = inputs.spark;
      }
      if (state[OMEGA]! < (300 * Math.PI) / 30) own.dead = true;
    },
    observe() {
      const omega = state[OMEGA]!;
      return Object.assign(outputs, {
        engine: engine(), omega, pressure: state[PRESSURE], airIn: own.in, airOut: own.out, fuel: own.out / 14.7, opening: own.opening, plate: own.plate, indicated: own.indicated,
        pumping: pumpingAt(state[PRESSURE]!), friction: frictionAt(omega), load: loadAt(omega), spark: own.spark, coolant: inputs.coolant,
      });
    },
  };
}
