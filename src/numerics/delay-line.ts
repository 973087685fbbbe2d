/**
 * A delay in crank angle: what went in is read again after the crank has turned through a given angle, however long that
 * takes. In time the delay is the τ of ∫ω dt over (t − τ, t) = angle, not the angle divided by the present speed.
 * Angles in rad.
 */

export interface DelayLine {
  /** Forgets everything and holds `value`, as if it had been constant for ever. */
  fill(crankAngle: number, value: number): void;
  /**
   * Takes a reading. On an empty line it is a `fill`. Angles never decrease; a crank that stands still keeps the first
   * and the last reading at its angle, a jump, so standing wears out no memory.
   * @throws RangeError when the angle goes back or is NaN
   */
  push(crankAngle: number, value: number): void;
  /**
   * The value at `crankAngle` − angle: linear between readings, at a jump the later value; asked newer than the newest,
   * the newest; asked older than the oldest kept, the oldest. Reads may go back a little, as the probes of a Runge–Kutta
   * step do. Allocates nothing.
   * @throws RangeError when there is no reading
   */
  read(crankAngle: number): number;
  /**
   * `push` and `read` for hot loops, where every number crosses in one array: V8 allocates each number that goes through a
   * call it does not inline. `take` pushes the reading [2] at the crank angle [0].
   */
  take(passage: Float64Array): void;
  /** Reads at the crank angles [0] and [1], a step's start and predicted end, into [3] and [5], and their mean into [4]. */
  give(passage: Float64Array): void;
}

/**
 * @param angle the delay, rad, 0 or more; 0 reads the newest
 * @param capacity readings to keep at least; the ring holds the next power of two. At one reading a step, `angle` is
 *   spanned down to the speed angle/(capacity·step); below it the oldest reading is held.
 * @throws RangeError on a negative or infinite angle, or a capacity that is no whole number from 2 to 2²⁴
 */
export function createDelayLine(angle: number, capacity: number): DelayLine {
  if (!(angle >= 0 && angle < Infinity)) throw new RangeError(`delay line: needs an angle of 0 or more; given ${angle}`);
  if (!(Number.isInteger(capacity) && capacity >= 2 && capacity <= 0x1000000)) {
    throw new RangeError(`delay line: needs a capacity of 2 to ${0x1000000} readings; given ${capacity}`);
  }
  let size = 2;
  while (size < capacity) size *= 2;
  const mask = size - 1;
  const angles = new Float64Array(size);
  const values = new Float64Array(size);
  // Places in the ring: the oldest and newest reading, and the last one at or before the angle read last.
  let oldest = 0;
  let newest = 0;
  let cursor = 0;
  let empty = true;

  const fill = (crankAngle: number, value: number): void => {
    if (Number.isNaN(crankAngle)) throw new RangeError('delay line: the crank angle is not a number');
    oldest = newest = cursor = 0;
    angles[0] = crankAngle;
    values[0] = value;
    empty = false;
  };

  const take = (passage: Float64Array): void => {
    const crankAngle = passage[0] as number;
    const last = angles[newest] as number;
    if (!(crankAngle >= last)) throw new RangeError(`delay line: the crank angle went back from ${last} to ${crankAngle} rad`);
    if (crankAngle === last && newest !== oldest && angles[(newest - 1) & mask] === last) {
      values[newest] = passage[2] as number;
      return;
    }
    newest = (newest + 1) & mask;
    if (newest === oldest) {
      oldest = (oldest + 1) & mask;
      if (cursor === newest) cursor = oldest;
    }
    angles[newest] = crankAngle;
    values[newest] = passage[2] as number;
  };

  /** Reads at the crank angle in one place of the passage into another. */
  const give = (passage: Float64Array, from: number, to: number): void => {
    const target = (passage[from] as number) - angle;
    let at = cursor;
    while (at !== newest && (angles[(at + 1) & mask] as number) <= target) at = (at + 1) & mask;
    while (at !== oldest && (angles[at] as number) > target) at = (at - 1) & mask;
    cursor = at;
    const before = angles[at] as number;
    const value = values[at] as number;
    if (at === newest || target <= before) {
      passage[to] = value;
      return;
    }
    const next = (at + 1) & mask;
    passage[to] = value + ((values[next] as number) - value) * ((target - before) / ((angles[next] as number) - before));
  };

  const own = new Float64Array(6);
  return {
    fill,
    push(crankAngle, value) {
      if (empty) {
        fill(crankAngle, value);
        return;
      }
      own[0] = crankAngle;
      own[2] = value;
      take(own);
    },
    read(crankAngle) {
      if (empty) throw new RangeError('delay line: read before any reading was taken');
      own[0] = crankAngle;
      give(own, 0, 3);
      return own[3] as number;
    },
    take,
    give(passage) {
      give(passage, 0, 3);
      give(passage, 1, 5);
      passage[4] = 0.5 * ((passage[3] as number) + (passage[5] as number));
    },
  };
}
