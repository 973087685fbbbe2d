/**
 * The idle's loops as the controller closes them: sampled every period h, the command held in between.
 *
 *     L(e^(jωh)) = C(e^(jωh)) · Σ_n  hold(s_n)·P(s_n)·M(s_n)          s_n = s + j·2πn/h
 *     hold(s) = (1 − e^(−sh))/(sh)          M(s) = mean(T)·mean(T) = ((1 − e^(−sT))/(sT))²
 *
 * P: command to crank speed with both delays; M: the speed sensor. T is the firing interval: a reading is the mean over the
 * last one (the first factor) and is read again until the next firing, so a tick finds it from 0 to T old, all ages alike,
 * firings and ticks keeping no step with each other (the second). So M is right on the mean, and half an interval of age
 * counts; the beat of firings against ticks is no matter of a linear model.
 * The sum over the aliases n is exact; it is cut where the rest is below 1e-7 of it. Source of the sum: K. J. Åström and
 * B. Wittenmark, Computer-Controlled Systems, 3rd ed. 1997, ch. 7. Loops are broken at the sampled speed.
 */
import { add, type Complex, complex, divide, magnitude, multiply, scale, subtract } from './complex.js';
import type { LinearController } from './idle-controller.js';
import { engineAt, exponential, meanOver } from './idle-engine.js';
import type { LinearEngine } from './jacobian.js';
import type { FrequencyResponse } from './response.js';

export interface LoopParts {
  readonly engine: LinearEngine;
  readonly controller: LinearController;
  /** Time between firings, s: what the speed sensor's reading is the mean of, and how long it stands. */
  readonly firingS: number;
  /** The air command's full range in the controller's unit. */
  readonly airFull: number;
}

/** Sampled plants: reading, rpm, for each unit of the air command and each degree of spark. */
export interface SampledPlant {
  readonly air: Complex;
  readonly spark: Complex;
}

const RPM = 30 / Math.PI;
const DEG = Math.PI / 180;
const ENOUGH = 1e-7;
const MOST_ALIASES = 4000;
const ONE = complex(1);

/** Speed sensor: mean over the last firing interval, of an age of half an interval on the mean. */
export function sensorAt(firingS: number, s: Complex): Complex {
  const mean = meanOver(firingS, s);
  return multiply(mean, mean);
}

/** Sum of hold·f over s and its aliases, for several f at once; `f` must fall at least as 1/s² far out. */
export function sampledSum(f: (s: Complex) => readonly Complex[], h: number, s: Complex): readonly Complex[] {
  const apart = (2 * Math.PI) / h;
  // 1 − e^(−sh) is the same for every alias
  const held = subtract(ONE, exponential(scale(s, -h)));
  const sum = f(s).map((value) => multiply(value, meanOver(h, s)));
  let quiet = 0;
  for (let n = 1; n <= MOST_ALIASES && quiet < 3; n++) {
    let largest = 0;
    for (const at of [complex(s.re, s.im + n * apart), complex(s.re, s.im - n * apart)]) {
      const hold = divide(held, scale(at, h));
      f(at).forEach((value, i) => {
        const part = multiply(value, hold);
        sum[i] = add(sum[i] as Complex, part);
        largest = Math.max(largest, magnitude(part) / (magnitude(sum[i] as Complex) || 1));
      });
    }
    quiet = n * largest < ENOUGH ? quiet + 1 : 0;
  }
  return sum;
}

/** The sampled plants at s. */
export function sampledPlantAt({ engine, controller, firingS, airFull }: LoopParts, s: Complex): SampledPlant {
  const [air, spark] = sampledSum((at) => {
    const sensor = sensorAt(firingS, at);
    const { fromAir, fromSpark } = engineAt(engine, at);
    return [multiply(fromAir, sensor), multiply(fromSpark, sensor)];
  }, controller.periodS, s);
  return { air: scale(air as Complex, RPM / airFull), spark: scale(spark as Complex, RPM * DEG) };
}

/** Loops at s, broken at the reading of the speed: air, spark. */
export function loopsAt(parts: LoopParts, s: Complex, plant: SampledPlant = sampledPlantAt(parts, s)): SampledPlant {
  const z = exponential(scale(s, parts.controller.periodS));
  return { air: multiply(parts.controller.air(z), plant.air), spark: multiply(parts.controller.spark(z), plant.spark) };
}

/** Where a loop is broken: at the speed (one loop by itself with the other open, or both), or at one actuator, the other closed. */
export type BreakName = 'air' | 'spark' | 'both' | 'airBreak' | 'sparkBreak';

export const BREAKS: readonly BreakName[] = ['air', 'spark', 'both', 'airBreak', 'sparkBreak'];

const COMBINED: Readonly<Record<BreakName, (loops: SampledPlant) => Complex>> = {
  air: ({ air }) => air,
  spark: ({ spark }) => spark,
  both: ({ air, spark }) => add(air, spark),
  airBreak: ({ air, spark }) => divide(air, add(ONE, spark)),
  sparkBreak: ({ air, spark }) => divide(spark, add(ONE, air)),
};

/** Lowest frequency worth looking at, rad/s: a hundredth of the slowest thing that an idle does. */
const LOWEST = 0.01;

/** The sampled plant against frequency, each frequency worked out once. */
export function createPlantMemory(parts: LoopParts): (omega: number) => SampledPlant {
  const known = new Map<number, SampledPlant>();
  return (omega) => {
    const before = known.get(omega);
    if (before !== undefined) return before;
    const found = sampledPlantAt(parts, complex(0, omega));
    known.set(omega, found);
    return found;
  };
}

/** A loop, broken where said, as a frequency response up to π/h. @param plant shared between loops of the same engine */
export function loopResponse(parts: LoopParts, where: BreakName, plant: (omega: number) => SampledPlant = createPlantMemory(parts)): FrequencyResponse {
  const h = parts.controller.periodS;
  return {
    at: (omega) => COMBINED[where](loopsAt(parts, complex(0, omega), plant(omega))),
    periodS: h,
    from: LOWEST,
    to: Math.PI / h,
  };
}

/** 1 + L_air + L_spark at s: its zeros are the poles of the closed loop. */
export function returnDifferenceAt(parts: LoopParts, s: Complex): Complex {
  const { air, spark } = loopsAt(parts, s);
  return add(ONE, add(air, spark));
}
