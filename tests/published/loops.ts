/** The loops of data/loops.json, written out as they are defined there: C in s, D in z. */
import { multiply, turn } from '../../src/linear/complex.js';
import { holdTransfer } from '../../src/linear/hold.js';
import { power, type Polynomial } from '../../src/linear/polynomial.js';
import type { FrequencyResponse } from '../../src/linear/response.js';
import { series, transfer } from '../../src/linear/transfer.js';

/** A PI controller K (1 + 1/(Ti s)). */
export const pi = (k: number, ti: number) => transfer([k * ti, k], [ti, 0]);

const lags = (n: number): Polynomial => power([1, 1], n);
const ku = 8;
const pu = (2 * Math.PI) / Math.sqrt(3);
const [k6, ti6, td6] = [0.6 * ku, pu / 2, pu / 8];
const tf6 = td6 / 10;

/** The improper series PID of C4 only makes sense times its plant. */
const c4 = transfer([0.5 * 1.5, 0.5 * 2.5, 0.5], [1.5, 0]);

/** Whole periods of delay as z^−d. */
const late = (d: number, periodS: number) => transfer([1], [1], { periodS, delayS: d * periodS });
const z = (numerator: Polynomial, denominator: Polynomial, periodS: number) => transfer(numerator, denominator, { periodS });

/** Kp + Ki h z/(z − 1) + Kd (z − 1)/((Tf + h) z − Tf): backward Euler throughout. */
function sampledPid(kp: number, ki: number, kd: number, tf: number, h: number): FrequencyResponse {
  const parts = [z([kp], [1], h), z([ki * h, 0], [1, -1], h), z([kd, -kd], [tf + h, -tf], h)];
  return {
    ...series(...parts),
    at: (omega) => parts.map((part) => part.at(omega)).reduce((a, b) => ({ re: a.re + b.re, im: a.im + b.im })),
  };
}

export const LOOPS: Readonly<Record<string, FrequencyResponse>> = {
  // The lag and the PI's zero are left to cancel by themselves, with T = 3.
  C1: series(pi(0.5 * 3, 3), transfer([1], [3, 1], { delayS: 1 })),
  C2: series(pi(0.5, 8), transfer([1], [1, 0], { delayS: 1 })),
  C3: series(pi(0.3, 1.5), transfer([1], lags(4))),
  C4: series(c4, transfer([1], lags(4))),
  C5: transfer([1], [1, 1, 0]),
  // K (1 + 1/(Ti s) + Td s/(Tf s + 1)) over one denominator
  C6: series(transfer([k6 * ti6 * (tf6 + td6), k6 * (ti6 + tf6), k6], [ti6 * tf6, ti6, 0]), transfer([1], lags(3))),
  C7: series(transfer([1.2 * 0.05 + 0.25, 1.2 + 0.5 * 0.05, 0.5], [0.05, 1, 0]), transfer([2], [3, 1], { delayS: 0.5 })),
  D8: series(z([2, -2 + 2 * (0.1 / 0.8)], [1, -1], 0.1), holdTransfer(transfer([1], [1, 1]), 0.1)),
  D9: series(z([0.3], [1], 1), holdTransfer(transfer([1], [1, 0]), 1), late(2, 1)),
  D10: series(sampledPid(3, 2, 0.2, 0.02, 0.05), holdTransfer(transfer([1], [0.2, 1.2, 1]), 0.05), late(1, 0.05)),
};

/** The same with a further delay, for the delay margin. */
export const delayedBy = (loop: FrequencyResponse, delayS: number): FrequencyResponse => ({
  ...loop,
  at: (omega) => multiply(loop.at(omega), turn(-omega * delayS)),
});
