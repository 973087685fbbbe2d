/**
 * Speed as a trigger wheel gives it: the mean over the last firing interval, rounded, and never more than the time since
 * the last firing allows, so that it does not stand still while the engine stalls. SI inside, rpm out.
 *
 * Passing a tooth is placed within a step by linear interpolation of the crank angle.
 */
import { ANGLE, type Plant } from '../plant/types.js';

export interface SpeedSensor {
  reset(omega: number): void;
  /** After each plant step; `k` counts steps from the start of the run. */
  update(k: number): void;
  /** Reading at step k, rpm. */
  readRpm(k: number): number;
}

const PER_RPM = 30 / Math.PI;

/** @param resolutionRpm the reading is a whole number of these; 0 for no rounding */
export function createSpeedSensor(plant: Plant, resolutionRpm: number): SpeedSensor {
  const { state, step, firingInterval } = plant;
  // next: angle of the next firing; passed: time of the last, s; last: crank angle at the last step
  const tooth = { next: 0.5, passed: 0.5, last: 0.5, omega: 0.5 };
  return {
    reset(omega) {
      tooth.last = state[ANGLE]!;
      tooth.next = tooth.last + firingInterval;
      tooth.passed = 0;
      tooth.omega = omega;
    },
    update(k) {
      const angle = state[ANGLE]!;
      if (angle >= tooth.next) {
        const perAngle = step / (angle - tooth.last);
        const more = Math.floor((angle - tooth.next) / firingInterval); // a fast engine of many cylinders passes several in a step
        const at = (k - 1) * step + (tooth.next + more * firingInterval - tooth.last) * perAngle;
        tooth.omega = more > 0 ? 1 / perAngle : firingInterval / (at - tooth.passed);
        tooth.passed = at;
        tooth.next += (1 + more) * firingInterval;
      }
      tooth.last = angle;
    },
    readRpm(k) {
      const since = k * step - tooth.passed;
      const rpm = (tooth.omega * since > firingInterval ? firingInterval / since : tooth.omega) * PER_RPM;
      return resolutionRpm > 0 ? Math.round(rpm / resolutionRpm) * resolutionRpm : rpm;
    },
  };
}
