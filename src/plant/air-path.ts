/**
 * The air path: throttle plate, its leak, wax bypass and idle valve, in parallel between the ambient and the manifold. SI.
 *
 * They share both pressures, so their effective areas add and one flow function serves them all.
 */
import { checkCurve, interpolate } from '../numerics/curve.js';
import { findRoot } from '../numerics/root.js';
import type { Ambient } from './ambient.js';
import type { EngineSettings } from './engine.js';
import type { FlowLaw, Laws } from './laws/law.js';
import { effectiveArea, flowFunction, SMOOTH } from './restriction.js';
import { createSlew, moveSlew } from './throttle.js';
import type { PlantInputs } from './types.js';
import { createValve, type ValveSettings } from './valves/index.js';
import type { Valve } from './valves/valve.js';

export interface AirPath {
  readonly valve: Valve;
  /** Most air that nobody asked for, kg/s on the bench. */
  readonly unaskedMost: number;
  /** Travel of the throttle plate, 0 … 1, at the start, middle and end of the present step. */
  readonly plate: Float64Array;
  /** Effective area, m², at the start, middle and end of the present step; a fourth place is the plant's own. */
  readonly area: Float64Array;
  /** Flow into the manifold, kg/s, through an effective area at a manifold pressure. */
  flow(area: number, pressure: number): number;
  /** @param keyOn the run starts with the engine off */
  rest(inputs: PlantInputs, keyOn: boolean): void;
  move(inputs: PlantInputs): void;
  /** Valve command, 0 … 1, that makes the total effective area what is asked; beyond 0 … 1 if it cannot. */
  commandFor(area: number, inputs: PlantInputs): number;
}

/** Largest `smooth` allowed (see restriction.ts): exact below a pressure ratio of 0.87. */
const SMOOTHEST = 0.25;

/** Area that may come on top of all that is declared, as a share of it: 2·1.35 is still below the 2.78 of `smoothFor`. */
const SPARE = 0.35;

/** Depression at which air that nobody asked for is told, Pa. */
const UNASKED_DEPRESSION = 60e3;

/**
 * @param step integration step, s
 * @throws RangeError if the step is too long for the largest area on this manifold, saying what would do
 */
export function createAirPath(engine: EngineSettings, valveSettings: ValveSettings, step: number, ambient: Ambient, laws: Laws): AirPath {
  const { flow, plate: plateArea, valve: valveArea } = laws;
  checkCurve(engine.wax, 'engine.wax');
  const valve = createValve(valveSettings, step);
  const leak = effectiveArea(engine.throttle.leak, flow);
  const slew = createSlew(engine.throttle.openingTime, engine.throttle.closingTime, step);
  const plate = slew.track;
  const area = new Float64Array(4);
  const { pressure: ambientPressure, temperature: ambientTemperature, gasConstant } = ambient;
  const { volume, temperature } = engine.manifold;

  const largest = plateArea(1) + leak + valveArea(1) + Math.max(...engine.wax.y);
  const smooth = smoothFor(largest, step, steepness(flow), (gasConstant * temperature) / volume / Math.sqrt(gasConstant * ambientTemperature));
  const k = {
    smooth,
    ambientPressure,
    perAmbient: 1 / ambientPressure,
    inward: ambientPressure / Math.sqrt(gasConstant * ambientTemperature),
    outward: -1 / Math.sqrt(gasConstant * temperature),
  };

  const shut = plateArea(0);
  const plateAreaAt = (travel: number): number => (travel === 0 ? shut : plateArea(travel));
  // what neither plate nor valve moves: the leak, the wax bypass, and air that nobody asked for
  const perUnasked = effectiveArea({ by: 'flow', flow: 1, depression: UNASKED_DEPRESSION }, flow);
  const most = SPARE * largest;
  const still = { coolant: Number.NaN, unasked: Number.NaN, area: 0.5 };
  const readStill = (inputs: PlantInputs): void => {
    still.coolant = inputs.coolant;
    still.unasked = inputs.unasked;
    const unasked = perUnasked * inputs.unasked;
    if (unasked > most) {
      throw new RangeError(`air: ${1e3 * inputs.unasked} g/s beside this throttle is more than the step can follow; at most ${Math.floor((1e3 * most) / perUnasked)} g/s`);
    }
    still.area = leak + interpolate(engine.wax, inputs.coolant) + unasked;
  };
  const { track } = valve;
  const areaAt = (i: number): void => {
    area[i] = plateAreaAt(plate[i]!) + still.area + valveArea(track[i]!);
  };

  return {
    valve,
    unaskedMost: most / perUnasked,
    plate,
    area,
    flow: (through, pressure) =>
      pressure <= k.ambientPressure
        ? through * k.inward * flowFunction(flow(pressure * k.perAmbient), k.smooth)
        : through * k.outward * pressure * flowFunction(flow(k.ambientPressure / pressure), k.smooth),
    rest(inputs, keyOn) {
      plate.fill(inputs.pedal);
      valve.rest(inputs.air, inputs.supply, keyOn);
      readStill(inputs);
      for (let i = 0; i < 3; i++) areaAt(i);
    },
    move(inputs) {
      moveSlew(slew, inputs.pedal);
      valve.move(inputs);
      if (inputs.coolant !== still.coolant || inputs.unasked !== still.unasked) readStill(inputs);
      for (let i = 0; i < 3; i++) areaAt(i);
    },
    commandFor(total, inputs) {
      const wanted = total - plateAreaAt(inputs.pedal) - leak - interpolate(engine.wax, inputs.coolant) - perUnasked * inputs.unasked;
      const [least, most] = [valveArea(0), valveArea(1)];
      // beyond its ends run on in proportion, so that a solver sees how far authority is missed
      const travel =
        wanted < least ? (wanted - least) / most : wanted > most ? wanted / most : findRoot((t) => valveArea(t) - wanted, 0, 1, 1e-14, 'travel of the valve');
      return valve.commandFor(travel, inputs.supply);
    },
  };
}

/** How steeply Ψ² falls to zero at equal pressures; 2 for air through an orifice. */
const steepness = (flow: FlowLaw): number => flow(1 - 1e-6) / 1e-6;

/**
 * `smooth` that keeps h·|dṗ/dp| ≤ 2 at equal pressures with everything open (fourth-order Runge–Kutta is stable to 2.78):
 * the slope of Ψ there is 1.5·steepness/√smooth.
 */
function smoothFor(largest: number, step: number, steep: number, perArea: number): number {
  const root = 0.75 * steep * step * perArea * largest;
  const smooth = Math.max(SMOOTH, root * root);
  if (smooth > SMOOTHEST) {
    const most = (step * Math.sqrt(SMOOTHEST)) / root;
    throw new RangeError(`run.step: ${1e3 * step} ms is too long for this throttle on this manifold; at most ${Number((950 * most).toPrecision(2))} ms`);
  }
  return smooth;
}
