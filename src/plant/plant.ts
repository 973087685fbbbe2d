/**
 * The engine: a mean-value plant composed of laws. SI. Its equations are in motion.ts.
 *
 * One step:
 *     1. valve, plate and areas move through the step
 *     2. charge and spark come out of their delay lines, at the step's start and its (predicted) end
 *     3. one Runge–Kutta step of ω, φ, p, v with areas and delayed values given at its start, middle and end
 *     4. the charge and the spark of the step's start go into the delay lines
 *     5. the engine's state, the next firing
 *
 * A delay is an angle, ∫ω dt = Δ, never an angle over today's speed. Reading it linearly between steps costs O(step²).
 */
import { createRungeKutta } from '../numerics/runge-kutta.js';
import { createAirPath } from './air-path.js';
import { createAlternator } from './alternator.js';
import { basicsOf, lawsOf } from './compose.js';
import { nextEngineState } from './crank.js';
import { createDelays, DELAY_READINGS, DRAWN } from './delays.js';
import type { EngineSettings } from './engine.js';
import { createFuelling } from './fuelling.js';
import type { Laws } from './laws/law.js';
import { machinesOf } from './machines.js';
import { createMotion } from './motion.js';
import { createObserver } from './outputs.js';
import { createRoughness, fire, restartRoughness } from './roughness.js';
import { createSurroundings, firing } from './surroundings.js';
import { trim } from './trim.js';
import { ANGLE, OMEGA, type Plant, type PlantInputs, PRESSURE, VEHICLE } from './types.js';
import type { ValveSettings } from './valves/index.js';
import { createWarmUp } from './warm-up.js';

const FOUR_PI = 4 * Math.PI;
const CYCLES_PER_RAD = 1 / FOUR_PI;

/** No engine turns faster, rad/s (95 000 rpm): a plant that gets there is broken. */
const FASTEST = 1e4;

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
  const basics = basicsOf(engine);
  const laws = lawsOf(engine, valveSettings, basics, options.laws);
  const { ambient, cylinders } = basics;
  const path = createAirPath(engine, valveSettings, step, ambient, laws);

  const firingInterval = FOUR_PI / cylinders;
  const chargeDelay = engine.delays.charge;
  const roughness = createRoughness(engine.roughnessPct, seed);
  const machines = machinesOf(engine.machines);
  // null unless the engine has them
  const alternator = createAlternator(engine.alternator, step);
  const fuelling = createFuelling(engine, laws.mixture, step, chargeDelay, DELAY_READINGS);
  const warmUp = createWarmUp(engine.warmUp, engine.displacement, engine.fuel.heatingValue, ambient.temperature, step);

  const inputs: PlantInputs = {
    air: 0, spark: 0, pedal: 0, load: 0, loadPower: 0, loadSquare: 0, electrical: 0, unasked: 0, clutch: 0, gear: 0,
    supply: 14, supplyHeld: false, coolant: 363.15, oil: 363.15, starter: false,
  };
  const state = new Float64Array(4);
  const delays = createDelays(chargeDelay, engine.delays.spark ?? firingInterval, step, state, inputs);
  const { now, readSurroundings } = createSurroundings(engine, laws.mixture, inputs, roughness, fuelling);
  const parts = { engine, laws, path, delays, fuelling, inputs, now };
  const { derivative, derivativeAt } = createMotion(parts, ambient.gasConstant, step);
  const observe = createObserver(parts, state);
  const { charge: passage } = delays;
  const rungeKutta = createRungeKutta(4);

  /** The alternator as it would be at rest at a speed; the supply with it. */
  const restElectrics = (omega: number): void => {
    if (alternator === null) return;
    alternator.rest(omega, inputs);
    now.generator = alternator.now.power;
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
      const drawn = start.engine === 'off' ? 0 : laws.charge(start.omega, state[PRESSURE]!);
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
      fuelling?.read(passage[0]!, passage[1]!);
      const before = state[OMEGA]!;
      if (options.integrator === undefined) rungeKutta(derivative, state, step);
      else {
        passage[DRAWN] = laws.charge(state[OMEGA]!, state[PRESSURE]!);
        options.integrator(derivativeAt, state, step);
      }
      if (!(state[OMEGA]! > 0 && state[OMEGA]! < FASTEST)) halt(state, passage[0]!);
      if (state[VEHICLE]! < 0) state[VEHICLE] = 0;
      delays.take();
      if (fuelling !== null || warmUp !== null) {
        const air = firing(now) ? passage[DRAWN]! * before * CYCLES_PER_RAD : 0;
        fuelling?.move(now.engine === 'running', before, path.plate[0]!, air, now.lambda);
        warmUp?.move(fuelling === null ? air / (now.lambda * engine.fuel.stoichiometric) : fuelling.now.entering, inputs);
      }
      now.engine = nextEngineState(engine.crank, now.engine, state, inputs.starter);
      fire(roughness, state, firingInterval);
    },
    engine: () => now.engine,
    observe() {
      readSurroundings();
      return observe();
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

/** What resists a turn can stop it but not turn it back. @throws Error when the speed is no number, or beyond all sense */
function halt(state: Float64Array, angleBefore: number): void {
  if (!(state[OMEGA]! < FASTEST)) throw new Error(`the crank speed came to ${state[OMEGA]} rad/s; the step is too long, or a law gives torque without end`);
  state[OMEGA] = 0;
  if (state[ANGLE]! < angleBefore) state[ANGLE] = angleBefore;
}
