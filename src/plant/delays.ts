/**
 * The two delays in crank angle: from the charge drawn in to its torque, and from the spark commanded to the one that fires.
 *
 * Charge moves smoothly and is filed at the start of its step. Spark is held from tick to tick: each step's is filed at the
 * middle of its crank angle, so that the straight line between readings is a ramp centred on the moment of the step, and the
 * impulse of torque that comes of it is right to O(step²).
 *
 * The newest reading lies a step behind the present angle for the charge and half a step for the spark. A delay of less than
 * two steps, or one and a half, asks for later ones at the step's end and is given the newest: late by what is missing.
 * Half a turn of a four at 800 rpm is 37 steps of 1 ms; 45° of an engine of sixteen reaches the limit of the spark at 5000 rpm.
 */
import { createDelayLine } from '../numerics/delay-line.js';
import { ANGLE, OMEGA, type PlantInputs } from './types.js';

/** Places in a passage (see delay-line.ts): what goes in, and the first of the three that come out. */
export const DRAWN = 2;
export const GIVEN = 3;

/** Readings that a delay line keeps: 4096 steps, the time an engine near its stall takes for a whole cycle. */
export const DELAY_READINGS = 4096;

export interface Delays {
  /** The delays, rad; 0 for none. */
  readonly chargeDelay: number;
  readonly sparkDelay: number;
  /** From place `GIVEN` the charge that burns, kg, and the spark that fires, rad, at the step's start, middle and end. */
  readonly charge: Float64Array;
  readonly spark: Float64Array;
  /** As if these had been constant for ever. */
  fill(drawn: number, spark: number): void;
  /** Reads both for the step from the present crank angle to the predicted one, with the spark commanded now. */
  read(): void;
  /** Files the charge at `charge[DRAWN]` and the step's spark, once the step is made. */
  take(): void;
  burntAt(angle: number): number;
  firedAt(angle: number): number;
}

/**
 * @param charge, spark the delays, rad  @param step s
 * @param state, inputs the plant's own: numbers that crossed in calls would be allocated
 */
export function createDelays(charge: number, spark: number, step: number, state: Float64Array, inputs: PlantInputs): Delays {
  const chargeLine = createDelayLine(charge, DELAY_READINGS);
  const sparkLine = createDelayLine(spark, DELAY_READINGS);
  const drawn = new Float64Array(7);
  const fired = new Float64Array(7);
  return {
    chargeDelay: charge,
    sparkDelay: spark,
    charge: drawn,
    spark: fired,
    fill(mass, advance) {
      chargeLine.fill(0, mass);
      sparkLine.fill(0, advance);
    },
    read() {
      const angle = state[ANGLE]!;
      const ahead = angle + step * state[OMEGA]!;
      drawn[0] = angle;
      drawn[1] = ahead;
      chargeLine.give(drawn);
      fired[0] = angle;
      fired[1] = ahead;
      fired[DRAWN] = inputs.spark;
      sparkLine.give(fired);
    },
    take() {
      chargeLine.take(drawn);
      fired[0] = 0.5 * (fired[0]! + state[ANGLE]!);
      sparkLine.take(fired);
    },
    burntAt: (angle) => chargeLine.read(angle),
    firedAt: (angle) => sparkLine.read(angle),
  };
}
