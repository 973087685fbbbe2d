/**
 * The engine: a mean-value plant composed of laws. SI.
 *
 *     dp/dt = (R·T_m/V_m)·(ṁ_in − m·ω/4π)                         m: air drawn in per cycle, now
 *     J·dω/dt = T(m, θ) − T_pumping − T_friction − T_load − T_clutch + T_starter
 *                                                                  m, θ: as they were a crank angle ago
 *     dφ/dt = ω                dv/dt: driveline.ts
 *
 * One step:
 *     1. valve, plate and areas move through the step
 *     2. charge and spark come out of their delay lines, at the step's start and its (predicted) end
 *     3. one Runge–Kutta step of ω, φ, p, v with areas and delayed values given at its start, middle and end
 *     4. the charge and the spark of the step's start go into the delay lines
 *     5. the engine's state, the next firing
 *
 * A delay is an angle, ∫ω dt = Δ, never an angle over today's speed. Reading it linearly between steps costs O(step²).
 * Sources: Guzzella and Onder 2010 (structure); Heywood 1988 (flow). Each law names its own.
 */
import { checkCurve, interpolate } from '../numerics/curve.js';
import { createRungeKutta } from '../numerics/runge-kutta.js';
import { createAirPath } from './air-path.js';
import { createAlternator } from './alternator.js';
import { nextEngineState, starterTorque } from './crank.js';
import { createDelays, DELAY_READINGS, DRAWN, GIVEN } from './delays.js';
import { CLUTCH_STIFFNESS, clutchTorque, crankPerMetre, roadLoad } from './driveline.js';
import type { EngineSettings } from './engine.js';
import { createFuelling } from './fuelling.js';
import { basicsOf, lawsOf } from './compose.js';
import type { Laws } from './laws/law.js';
import { machinesOf } from './machines.js';
import { oilThickness } from './oil.js';
import { createRoughness, fire, restartRoughness } from './roughness.js';
import { trim } from './trim.js';
import { ANGLE, type EngineState, OMEGA, type Plant, type PlantInputs, type PlantOutputs, PRESSURE, VEHICLE } from './types.js';
import type { ValveSettings } from './valves/index.js';
import { createWarmUp } from './warm-up.js';

const FOUR_PI = 4 * Math.PI;
const CYCLES_PER_RAD = 1 / FOUR_PI;

/** No engine turns faster, rad/s (95 000 rpm): a plant that gets there is broken. */
const FASTEST = 1e4;

/** Below this the resisting torques fade to nothing, so that a crank comes to rest instead of turning back, rad/s. */
const CREEP = 2;

/**
 * Moves the state through one step of another length of yours: `derivative` takes where in the step it is asked for, 0 … 1.
 */
export type Integrator = (derivative: (x: Float64Array, part: number, dx: Float64Array) => void, x: Float64Array, h: number) => void;

export interface PlantOptions {
  /** Integration step, s. */
  readonly step?: number;
  /** Seed of the roughness. */
  readonly seed?: number;
  /** Laws of your own in place of those that the settings name; see docs/library.md. */
  readonly laws?: Partial<Laws>;
  /** In place of one Runge–Kutta step: a judge of what the fixed step costs. */
  readonly integrator?: Integrator;
}

/**
 * Builds the engine that the settings describe.
 *
 * @throws RangeError when settings contradict each other: catch speed not above stall speed, a step too long, a curve
 *   that is not one
 */
export function createPlant(engine: EngineSettings, valveSettings: ValveSettings, options: PlantOptions = {}): Plant {
  const { step = 0.001, seed = 1 } = options;
  if (engine.crank.catch <= engine.crank.stall) throw new RangeError('engine.crank.catch: must lie above engine.crank.stall');
  checkCurve(engine.fuel.lambda, 'engine.fuel.lambda');
  const basics = basicsOf(engine);
  const laws = lawsOf(engine, valveSettings, basics, options.laws);
  const { charge, torque, mixture, pumping, friction } = laws;
  const { ambient, cylinders } = basics;
  const path = createAirPath(engine, valveSettings, step, ambient, laws);

  const firingInterval = FOUR_PI / cylinders;
  const chargeDelay = engine.delays.charge;
  const sparkDelay = engine.delays.spark ?? firingInterval;
  const roughness = createRoughness(engine.roughnessPct, seed);
  const machines = machinesOf(engine.machines);
  // null unless the engine has them
  const alternator = createAlternator(engine.alternator, step);
  const fuelling = createFuelling(engine, mixture, step, chargeDelay, DELAY_READINGS);
  const warmUp = createWarmUp(engine.warmUp, engine.displacement, engine.fuel.heatingValue, ambient.temperature, step);
  const k = {
    perVolume: (ambient.gasConstant * engine.manifold.temperature) / engine.manifold.volume,
    perInertia: 1 / engine.inertia,
    // a crank that creeps is braked no faster than one step resolves
    grip: (2 * CREEP * engine.inertia) / step,
  };
  const gearing = Float64Array.from({ length: engine.driveline.gears.length + 1 }, (_, gear) => crankPerMetre(engine.driveline, gear));

  const inputs: PlantInputs = {
    air: 0, spark: 0, pedal: 0, load: 0, loadPower: 0, loadSquare: 0, electrical: 0, unasked: 0, clutch: 0, gear: 0,
    supply: 14, supplyHeld: false, coolant: 363.15, oil: 363.15, starter: false,
  };
  const state = new Float64Array(4);
  const delays = createDelays(chargeDelay, sparkDelay, step, state, inputs);
  const { charge: chargePassage, spark: sparkPassage } = delays;
  const rungeKutta = createRungeKutta(4);
  // of the present step; `burning` is 0 unless the engine turns and fires; `generator`: what the alternator takes, W
  const now = { engine: 'off' as EngineState, lambda: 0.5, mixture: 0.5, thickness: 0.5, oil: Number.NaN, coolant: Number.NaN, gearing: 0.5, capacity: 0.5, burning: 0.5, generator: 0.5 };
  now.generator = 0;

  const derivative = (x: Float64Array, stage: 0 | 1 | 2 | 3, dx: Float64Array): void => {
    const omega = x[OMEGA]! > 0 ? x[OMEGA]! : 0;
    const pressure = x[PRESSURE]!;
    const drawn = charge(omega, pressure);
    if (stage === 0) chargePassage[DRAWN] = drawn;
    const burnt = chargeDelay > 0 ? chargePassage[GIVEN + stage]! : drawn;
    let indicated = now.burning === 0 ? 0 : now.burning * torque(burnt, sparkDelay > 0 ? sparkPassage[GIVEN + stage]! : inputs.spark, omega, pressure);
    if (fuelling !== null) indicated *= fuelling.passage[GIVEN + stage]!;
    const resisting = pumping(pressure, omega) + friction(omega, now.thickness) + loadTorque(inputs, now.generator, omega);
    let drive = indicated - (omega >= CREEP ? resisting : ((resisting < k.grip ? resisting : k.grip) * omega) / CREEP);
    if (now.engine === 'cranking') drive += starterTorque(engine.crank, omega);
    dx[ANGLE] = omega;
    dx[PRESSURE] = k.perVolume * (path.flow(path.area[stage]!, pressure) - drawn * omega * CYCLES_PER_RAD);
    if (now.capacity > 0 || x[VEHICLE]! > 0) {
      const clutch = clutchTorque(omega - x[VEHICLE]! * now.gearing, now.capacity, CLUTCH_STIFFNESS);
      drive -= clutch;
      dx[VEHICLE] = (clutch * now.gearing - roadLoad(engine.driveline, x[VEHICLE]!)) / engine.driveline.mass;
    } else {
      dx[VEHICLE] = 0;
    }
    dx[OMEGA] = drive * k.perInertia;
  };

  /** The derivative anywhere in the step: the place behind the three stages holds what is worked out for it. */
  const derivativeAt = (x: Float64Array, part: number, dx: Float64Array): void => {
    path.area[3] = quadratic(path.area, part);
    chargePassage[GIVEN + 3] = delays.burntAt(x[ANGLE]!);
    sparkPassage[GIVEN + 3] = delays.firedAt(x[ANGLE]!);
    if (fuelling !== null) fuelling.passage[GIVEN + 3] = fuelling.at(x[ANGLE]!);
    derivative(x, 3, dx);
  };

  const readSurroundings = (): void => {
    if (inputs.coolant !== now.coolant) {
      now.coolant = inputs.coolant;
      now.lambda = interpolate(engine.fuel.lambda, inputs.coolant);
      now.mixture = mixture(now.lambda);
    }
    if (inputs.oil !== now.oil) {
      now.oil = inputs.oil;
      now.thickness = oilThickness(engine.oil, inputs.oil);
    }
    now.gearing = gearing[inputs.gear] ?? 0;
    now.capacity = now.gearing > 0 ? engine.driveline.clutchCapacity * (1 - inputs.clutch) : 0;
    now.burning = now.engine === 'running' || now.engine === 'cranking' ? roughness.factor * (fuelling === null ? now.mixture : 1) : 0;
  };

  const firing = (): boolean => now.engine === 'running' || now.engine === 'cranking';

  /** The alternator as it would be at rest at a speed; the supply with it. */
  const restElectrics = (omega: number): void => {
    if (alternator === null) return;
    alternator.rest(omega, inputs);
    now.generator = alternator.now.power;
  };

  const outputs: PlantOutputs = {
    engine: 'off', omega: 0.5, pressure: 0.5, airIn: 0.5, airOut: 0.5, fuel: 0.5, opening: 0.5, plate: 0.5,
    indicated: 0.5, pumping: 0.5, friction: 0.5, load: 0.5, clutch: 0.5, spark: 0.5, vehicleSpeed: 0.5, coolant: 0.5,
  };

  return {
    step,
    firingInterval,
    stallSpeed: engine.crank.stall,
    ambientTemperature: ambient.temperature,
    valve: path.valve.range,
    accessories: { machines, alternator: alternator !== null, unaskedMost: path.unaskedMost },
    inputs,
    state,
    reset(start) {
      now.engine = start.engine;
      restElectrics(start.omega);
      readSurroundings();
      path.rest(inputs, start.engine === 'off');
      state[OMEGA] = start.omega;
      state[ANGLE] = 0;
      state[VEHICLE] = start.vehicleSpeed ?? (now.capacity > 0 ? start.omega / now.gearing : 0);
      state[PRESSURE] = start.pressure ?? trim.pressureAt(start.omega, path.area[2]!, path, laws, ambient);
      restartRoughness(roughness, seed);
      // an engine that was off holds no charge: the first one burns after the delay
      const drawn = start.engine === 'off' ? 0 : charge(start.omega, state[PRESSURE]!);
      delays.fill(drawn, inputs.spark);
      fuelling?.rest(start.engine === 'running', drawn * start.omega * CYCLES_PER_RAD, now.lambda);
      warmUp?.rest();
      fire(roughness, state, firingInterval);
    },
    advance() {
      if (alternator !== null) {
        alternator.move(state, inputs, now.engine);
        now.generator = alternator.now.power;
      }
      path.move(inputs);
      readSurroundings();
      delays.read();
      fuelling?.read(chargePassage[0]!, chargePassage[1]!);
      const before = state[OMEGA]!;
      if (options.integrator === undefined) rungeKutta(derivative, state, step);
      else {
        chargePassage[DRAWN] = charge(state[OMEGA]!, state[PRESSURE]!);
        options.integrator(derivativeAt, state, step);
      }
      if (!(state[OMEGA]! > 0 && state[OMEGA]! < FASTEST)) halt(state, chargePassage[0]!);
      if (state[VEHICLE]! < 0) state[VEHICLE] = 0;
      delays.take();
      if (fuelling !== null || warmUp !== null) {
        const air = firing() ? chargePassage[DRAWN]! * before * CYCLES_PER_RAD : 0;
        fuelling?.move(now.engine === 'running', before, path.plate[0]!, air, now.lambda);
        warmUp?.move(fuelling === null ? air / (now.lambda * engine.fuel.stoichiometric) : fuelling.now.entering, inputs);
      }
      now.engine = nextEngineState(engine.crank, now.engine, state, inputs.starter);
      fire(roughness, state, firingInterval);
    },
    engine: () => now.engine,
    observe() {
      readSurroundings();
      const omega = state[OMEGA]!;
      const pressure = state[PRESSURE]!;
      const burnt = chargeDelay > 0 ? delays.burntAt(state[ANGLE]!) : charge(omega, pressure);
      outputs.spark = sparkDelay > 0 ? delays.firedAt(state[ANGLE]!) : inputs.spark;
      outputs.engine = now.engine;
      outputs.omega = omega;
      outputs.pressure = pressure;
      outputs.airIn = path.flow(path.area[2]!, pressure);
      outputs.airOut = (charge(omega, pressure) * omega) / FOUR_PI;
      outputs.fuel = !firing() ? 0 : fuelling === null ? outputs.airOut / (now.lambda * engine.fuel.stoichiometric) : fuelling.now.entering;
      outputs.opening = path.valve.track[2]!;
      outputs.plate = path.plate[2]!;
      outputs.indicated = now.burning === 0 ? 0 : now.burning * torque(burnt, outputs.spark, omega, pressure);
      if (fuelling !== null) outputs.indicated *= fuelling.at(state[ANGLE]!);
      outputs.pumping = pumping(pressure, omega);
      outputs.friction = friction(omega, now.thickness);
      outputs.load = loadTorque(inputs, now.generator, omega);
      outputs.clutch = clutchTorque(omega - state[VEHICLE]! * now.gearing, now.capacity, CLUTCH_STIFFNESS);
      outputs.vehicleSpeed = state[VEHICLE]!;
      outputs.coolant = inputs.coolant;
      return outputs;
    },
    trimAt(omega) {
      const kept = alternator === null ? null : { now: { ...alternator.now }, supply: inputs.supply, generator: now.generator };
      restElectrics(omega);
      readSurroundings();
      const found = trim.commandAt(omega, inputs, path, laws, ambient, now.mixture, now.thickness, now.generator);
      if (alternator !== null && kept !== null) {
        Object.assign(alternator.now, kept.now);
        inputs.supply = kept.supply;
        now.generator = kept.generator;
      }
      return found;
    },
  };
}

/** What a quantity given at the start, middle and end of a step is at a part of it, 0 … 1. */
const quadratic = (given: Float64Array, part: number): number =>
  given[0]! + part * (4 * given[1]! - 3 * given[0]! - given[2]! + 2 * part * (given[0]! - 2 * given[1]! + given[2]!));

/** What resists a turn can stop it but not turn it back. @throws Error when the speed is no number, or beyond all sense */
function halt(state: Float64Array, angleBefore: number): void {
  if (!(state[OMEGA]! < FASTEST)) throw new Error(`the crank speed came to ${state[OMEGA]} rad/s; the step is too long, or a law gives torque without end`);
  state[OMEGA] = 0;
  if (state[ANGLE]! < angleBefore) state[ANGLE] = angleBefore;
}

/** Torque of the timed loads and the alternator at the crank, N·m. */
function loadTorque(inputs: PlantInputs, generator: number, omega: number): number {
  return inputs.load + (inputs.loadPower + generator) / (omega > CREEP ? omega : CREEP) + inputs.loadSquare * omega * omega;
}
