/**
 * The controller's linear part, tick for tick as src/controller/pid.ts and spark.ts have it, as a function of z = e^(sh).
 * Both take the reading of the same tick, y_k, and act against it: what stands here is the gain from −y to the command.
 *
 *     PID    kp + ki·h/(z − 1) + kd·(1 − z⁻¹)/(T_f + h − T_f·z⁻¹)          the integral moves after the output
 *            ki·h·z/(z − 1) with anti-windup `conditional-ahead`, which moves it before
 *     spark  rate·(1 − α)·(1 − z⁻¹)/(1 − (1 − α)·z⁻¹) − slope              α = h/(τ_w + h); rate − slope without washout
 *
 * Left out, since small swings meet none of it: limits, authority, slew, anti-windup, the dead band (inside it the integral
 * stands still: then `insideDeadBand`), rounding. Learning only moves the integral to another place.
 */
import { interpolate } from '../numerics/curve.js';
import type { ControllerSettings } from '../controller/parameters.js';
import { add, type Complex, complex, divide, multiply, scale, subtract } from './complex.js';

export interface LinearController {
  /** Air in the valve's unit for each rpm below the target, at z. */
  air(z: Complex): Complex;
  /** Degrees of spark for each rpm below the target, at z. */
  spark(z: Complex): Complex;
  readonly periodS: number;
  readonly airActs: boolean;
  readonly sparkActs: boolean;
  /** Whether the air has an integral. */
  readonly integrates: boolean;
  /** Poles in z: integral, derivative filter, washout. */
  readonly poles: readonly number[];
}

const ONE = complex(1);

/** Half width, rpm, over which the slope of the spark curve is read: less than any curve tells apart. */
const NEAR = 0.5;

/**
 * @param targetRpm where the engine idles
 * @param insideDeadBand what acts within the dead band: everything but the integral
 */
export function linearController(settings: ControllerSettings, targetRpm: number, insideDeadBand = false): LinearController {
  const { pid, spark, periodS: h, hold } = settings;
  const { kp, kd, derivativeFilterS: filter, antiWindup } = pid;
  const ki = insideDeadBand ? 0 : pid.ki;
  const ahead = antiWindup === 'conditional-ahead';
  const slope = (interpolate(spark.slopeDeg, targetRpm + NEAR) - interpolate(spark.slopeDeg, targetRpm - NEAR)) / (2 * NEAR);
  const closed = hold === null;
  const rate = closed && spark.authorityDeg > 0 ? spark.rateDegPerRpm : 0;
  const keep = spark.washoutS === null ? null : 1 - h / (spark.washoutS + h);
  return {
    periodS: h,
    airActs: closed && (kp > 0 || ki > 0 || kd > 0),
    sparkActs: rate > 0 || slope !== 0,
    integrates: closed && ki > 0,
    poles: [...(closed && ki > 0 ? [1] : []), ...(closed && kd > 0 ? [filter / (filter + h)] : []), ...(keep === null || rate === 0 ? [] : [keep])],
    air(z) {
      if (!closed) return complex(0);
      const before = divide(ONE, z);
      const derivative = divide(scale(subtract(ONE, before), kd), subtract(complex(filter + h), scale(before, filter)));
      const proportional = add(complex(kp), derivative);
      if (ki === 0) return proportional;
      return add(proportional, divide(scale(ahead ? z : ONE, ki * h), subtract(z, ONE)));
    },
    spark(z) {
      if (keep === null) return complex(rate - slope);
      const before = divide(ONE, z);
      const washed = divide(scale(subtract(ONE, before), keep), subtract(ONE, scale(before, keep)));
      return subtract(multiply(complex(rate), washed), complex(slope));
    },
  };
}
