/**
 * PID, parallel form, derivative on the measurement through a first-order filter (backward Euler), four ways to keep the
 * integral from winding up.
 *
 *     e = r − y        P = K_p·e        D = (T_f·D₋₁ − K_d·(y − y₋₁))/(T_f + h)
 *     v = P + I + D    u = v within its limits
 *     I ← I + K_i·h·e                     unless v is past a limit and e drives it further    (conditional)
 *     I ← I + K_i·h·e + (h/T_t)·(u − v)                                                       (back-calculation)
 *
 * The integral moves after the output, as in Åström and Hägglund, Advanced PID Control, 2006, ch. 13; `conditional-ahead`
 * moves it before and takes the increment back when v would pass the limit.
 * Inside the dead band the integral stands still; P and D go on.
 */
import { choice, own, type Values } from '../parameter/table.js';

export const pidTable = {
  kp: own({ unit: 'air/rpm', default: 0.02, min: 0, max: 20, meaning: 'proportional gain' }),
  ki: own({ unit: 'air/(rpm s)', default: 0.02, min: 0, max: 50, meaning: 'integral gain' }),
  kd: own({ unit: 'air s/rpm', default: 0.005, min: 0, max: 10, meaning: 'derivative gain: air for each rpm/s, on the measurement' }),
  derivativeFilter: own({ as: 'derivativeFilterS', unit: 's', default: 0.05, min: 0, max: 5, meaning: 'time constant of the derivative filter', source: 'assumed' }),
  antiWindup: choice({
    options: ['conditional', 'conditional-ahead', 'back-calculation', 'none'],
    default: 'conditional',
    meaning: 'what keeps the integral from winding up at a limit',
    source: 'Åström and Hägglund, Advanced PID Control, 2006, ch. 3 and 13',
  }),
  trackingTime: own({ as: 'trackingTimeS', unit: 's', default: 0.5, min: 0.001, max: 100, meaning: 'time constant of the back-calculation, T_t' }),
  deadBand: own({ as: 'deadBandRpm', unit: 'rpm', default: 0, min: 0, max: 200, meaning: 'error within which the integral stands still', source: 'common practice, no source: an integral on whole steps hunts without one' }),
} as const;
export type PidSettings = Values<typeof pidTable>;

export interface PidState {
  integral: number;
  derivative: number;
  lastMeasured: number;
}

export const createPidState = (): PidState => ({ integral: 0, derivative: 0, lastMeasured: Number.NaN });

/** Makes the next derivative zero: as the loop closes, and at the start. */
export function primePid(state: PidState, measured: number): void {
  state.derivative = 0;
  state.lastMeasured = measured;
}

/**
 * One tick: the output before its limits are applied; the caller clips it to the same limits.
 *
 * @param period h, s   @param low, high limits of the output
 */
export function stepPid(settings: PidSettings, state: PidState, period: number, target: number, measured: number, low: number, high: number): number {
  const { kp, ki, kd, derivativeFilterS, antiWindup, trackingTimeS, deadBandRpm } = settings;
  const error = target - measured;
  state.derivative = (derivativeFilterS * state.derivative - kd * (measured - state.lastMeasured)) / (derivativeFilterS + period);
  state.lastMeasured = measured;
  const increment = Math.abs(error) <= deadBandRpm ? 0 : ki * period * error;
  const withoutIntegral = kp * error + state.derivative;
  if (antiWindup === 'conditional-ahead') {
    const ahead = withoutIntegral + state.integral + increment;
    if (drivesFurther(ahead, error, low, high)) return withoutIntegral + state.integral;
    state.integral += increment;
    return ahead;
  }
  const output = withoutIntegral + state.integral;
  switch (antiWindup) {
    case 'conditional':
      if (!drivesFurther(output, error, low, high)) state.integral += increment;
      break;
    case 'back-calculation': {
      const clipped = output > high ? high : output < low ? low : output;
      state.integral += increment + (period / trackingTimeS) * (clipped - output);
      break;
    }
    case 'none':
      state.integral += increment;
  }
  return output;
}

const drivesFurther = (output: number, error: number, low: number, high: number): boolean =>
  (output > high && error > 0) || (output < low && error < 0);
