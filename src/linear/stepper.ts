/** A sampled linear system stepped in time. */
import type { StateSpace } from './state-space.js';

/** Takes the command held over the coming period and gives the output at the end of it. */
export type Stepper = (command: number) => number;

/**
 * @param delayPeriods whole periods by which the command comes late, kept in a ring instead of as states
 * @throws RangeError when the system is not sampled, or passes its input straight through
 */
export function stepperOf({ a, b, c, d, periodS }: StateSpace, delayPeriods = 0): Stepper {
  if (periodS === null) throw new RangeError('stepper: needs a sampled system; see holdEquivalent');
  if (d !== 0) throw new RangeError('stepper: a straight-through gain makes the output depend on the next command');
  const n = a.rows;
  const [phi, gamma, out] = [Float64Array.from(a.to1DArray()), Float64Array.from(b.to1DArray()), Float64Array.from(c.to1DArray())];
  let [x, next] = [new Float64Array(n), new Float64Array(n)];
  const ring = new Float64Array(delayPeriods);
  let at = 0;
  return (command) => {
    let u = command;
    if (delayPeriods > 0) {
      u = ring[at] as number;
      ring[at] = command;
      at = (at + 1) % delayPeriods;
    }
    let y = 0;
    for (let i = 0; i < n; i++) {
      let sum = (gamma[i] as number) * u;
      for (let k = 0; k < n; k++) sum += (phi[i * n + k] as number) * (x[k] as number);
      next[i] = sum;
      y += (out[i] as number) * sum;
    }
    [x, next] = [next, x];
    return y;
  };
}
