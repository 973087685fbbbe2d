/**
 * The plant along a recording: its own inputs, and what it says of speed and manifold pressure one row ahead.
 *
 *     ŷ_k    what the model says at row k of what the log reads: ω a lag ago, p now
 *     ω, p ← ω + K_ω·(y_k − ŷ_k), p + K_p·(y_k − ŷ_k)          then on to row k + 1
 *
 * the innovations form with a gain that is fitted beside the engine. Roughness is noise that enters as torque: the engine
 * carries each bad firing on for a second or so, and a controller answers it, so that the input hangs together with the
 * noise. Comparing free runs is then biased, and its residuals are nothing like white; one-step prediction errors with a noise
 * model are not (L. Ljung, System Identification, 2nd ed. 1999, 4.3, 8.4 and 13.4: consistent in closed loop). With both
 * gains at 0 it is the free run.
 */
import { createPlant } from '../../plant/plant.js';
import { OMEGA, type Plant, PRESSURE } from '../../plant/types.js';
import { plateLaw } from '../../plant/throttle.js';
import type { Fitted, FittedLoad } from './knobs.js';
import type { FitStretch } from './recording.js';

/** How the recording sees the engine, and how far the model is put right at each row. */
export interface Reading {
  /** Age of the speed read, in firing intervals: 1 for a wheel that reads the mean over the last interval. */
  readonly lag: number;
  /** And beside it, s: what the recorder takes. */
  readonly delay: number;
  /** Commands take hold so long after straight lines between their rows would have it, s: a command is held, not a line. */
  readonly late: number;
  /** Every input, commands, throttle and loads, so much later, s; 0 but for the derivative against it. */
  readonly shift?: number;
  /** How much later than straight lines between the rows have it the throttle moved, s; one a move. */
  readonly moments?: readonly number[];
  readonly speedGain: number;
  readonly pressureGain: number;
}

/**
 * Longest integration step, s, and the shorter ones tried where the throttle opens too far for it. The longest is off by
 * 0.2 rpm rms from one of half a millisecond over two minutes of steps, loads and blips (tests/identify/fit-noise.test.ts).
 */
const STEPS = [0.005, 0.0025, 0.001, 0.0005, 0.00025];
/** Steps kept to look back into, s. */
const LOOK_BACK_S = 0.3;
/** A model that has died is held here, rad/s, so that the fit is told by how much it is wrong. */
const FLOOR = 20;
const NONE: readonly number[] = [];
const NEVER = { stall: 1, catch: 2 };

export interface Predictor {
  /** Fills `speed` (rad/s) and `pressure` (Pa), one a row. */
  run(stretch: FitStretch, reading: Reading, speed: Float64Array, pressure: Float64Array): void;
  readonly plant: Plant;
}

/**
 * @param widest largest throttle opening of the recording: no more of the plate is modelled, which allows a longer step
 * @throws RangeError when no step is short enough
 */
export function createPredictor({ engine, valve, loads }: Fitted, periodS: number, widest: number, longest: readonly number[] = STEPS): Predictor {
  const plate = plateLaw(engine.throttle);
  const open = plate(Math.min(1, widest));
  const capped = (opening: number): number => {
    const area = plate(opening);
    return area < open ? area : open;
  };
  // the log has the plate itself, the coolant, and no stall within a stretch
  const settings = {
    ...engine, roughnessPct: 0, warmUp: { is: 'off' as const }, machines: [],
    throttle: { ...engine.throttle, openingTime: 0, closingTime: 0 }, crank: { ...engine.crank, ...NEVER },
  };
  let failed: unknown = null;
  for (const most of longest) {
    const steps = Math.ceil(periodS / most - 1e-9);
    try {
      return predictorOf(createPlant(settings, valve, { step: periodS / steps, laws: { plate: capped } }), steps, loads, engine.alternator.fitted === 'no');
    } catch (error) {
      if (!(error instanceof RangeError)) throw error;
      failed = error;
    }
  }
  throw failed;
}

function predictorOf(plant: Plant, steps: number, loads: readonly FittedLoad[], supplyHeld: boolean): Predictor {
  const { inputs, state, step, firingInterval } = plant;
  const kept = Math.ceil(LOOK_BACK_S / step);
  const past = new Float64Array(kept);
  const on = new Float64Array(loads.length);
  const before = new Float64Array(loads.length);

  function put(stretch: FitStretch, k: number, part: number, late: number, shift: number, moment: number, air: Float64Array | null): void {
    if (air !== null) inputs.air = valueAt(air, k + part - late - shift);
    inputs.spark = valueAt(stretch.spark, k + part - late - shift);
    inputs.pedal = valueAt(stretch.pedal, k + part - shift - moment);
    inputs.supply = valueAt(stretch.supply, k + part);
    inputs.load = 0;
    inputs.loadSquare = 0;
    inputs.loadPower = 0;
    for (let i = 0; i < loads.length; i++) {
      const { torque, square, power } = loads[i]!;
      const share = before[i]! + (part - shift) * (on[i]! - before[i]!);
      inputs.load += share * torque;
      inputs.loadSquare += share * square;
      inputs.loadPower += share * power;
    }
  }

  return {
    plant,
    run(stretch, { lag, delay, late, shift = 0, moments = NONE, speedGain, pressureGain }, speed, pressure) {
      const lateRows = late / (steps * step);
      const shiftRows = shift / (steps * step);
      const { rows, air, pressure: measured } = stretch;
      // without a valve command the measured pressure drives the model
      const driven = air === null ? measured! : null;
      inputs.air = 0;
      inputs.supplyHeld = supplyHeld;
      inputs.coolant = stretch.coolant[0]!;
      inputs.oil = stretch.oil[0]!;
      loads.forEach((_, i) => (before[i] = on[i] = stretch.loads[i]![0]!));
      put(stretch, 0, 0, 0, 0, 0, air);
      plant.reset({ omega: stretch.speed[0]!, pressure: measured?.[0] ?? null, vehicleSpeed: 0, engine: 'running' });
      past.fill(stretch.speed[0]!);
      let newest = 0;
      for (let k = 0; k < rows; k++) {
        const back = Math.max(0, Math.min(kept - 2, ((lag * firingInterval) / state[OMEGA]! + delay) / step));
        const whole = Math.floor(back);
        const read = (age: number): number => past[(newest - age + kept) % kept]!;
        speed[k] = read(whole) + (back - whole) * (read(whole + 1) - read(whole));
        pressure[k] = state[PRESSURE]!;
        if (k + 1 === rows) break;
        if (speedGain > 0) {
          const error = speedGain * (stretch.speed[k]! - speed[k]!);
          state[OMEGA] = Math.max(FLOOR, state[OMEGA]! + error);
          // what is read next may lie before this row
          for (let age = 0; age <= whole + 1; age++) past[(newest - age + kept) % kept] = past[(newest - age + kept) % kept]! + error;
        }
        if (pressureGain > 0 && measured !== null) state[PRESSURE] = state[PRESSURE]! + pressureGain * (measured[k]! - state[PRESSURE]!);
        inputs.coolant = stretch.coolant[k]!;
        inputs.oil = stretch.oil[k]!;
        for (let i = 0; i < loads.length; i++) {
          before[i] = on[i]!;
          const most = steps * step / Math.max(loads[i]!.engage, steps * step);
          const wanted = stretch.loads[i]![k + 1]!;
          on[i] = on[i]! + Math.min(most, Math.max(-most, wanted - on[i]!));
        }
        const move = stretch.moves === undefined ? -1 : stretch.moves[k]!;
        const moment = move < 0 ? 0 : (moments[move] ?? 0) / (steps * step);
        for (let s = 0; s < steps; s++) {
          put(stretch, k, (s + 0.5) / steps, lateRows, shiftRows, moment, air);
          if (driven !== null) state[PRESSURE] = driven[k]! + (s / steps) * (driven[k + 1]! - driven[k]!);
          plant.advance();
          newest = newest + 1 === kept ? 0 : newest + 1;
          past[newest] = state[OMEGA]!;
        }
        if (state[OMEGA]! < FLOOR) state[OMEGA] = FLOOR;
        if (!(pressure[k]! > 0)) break;
      }
    },
  };
}

/** A column at a place between its rows. */
function valueAt(values: Float64Array, place: number): number {
  const last = values.length - 1;
  const at = place < 0 ? 0 : place > last ? last : place;
  const k = at < last ? Math.floor(at) : last - 1;
  return k < 0 ? values[0]! : values[k]! + (at - k) * (values[k + 1]! - values[k]!);
}
