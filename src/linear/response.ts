/** A loop as its frequency response: what margins, rules and plots work on. */
import type { Complex } from './complex.js';

export interface FrequencyResponse {
  /** Value at an angular frequency, rad/s, of a linear system or an open loop L (negative feedback: S = 1/(1 + L)). */
  at(omega: number): Complex;
  /** Sampling period, s, of a loop that is sampled: it ends at π/h, that end included, where it is real. Null when continuous. */
  readonly periodS: number | null;
  /** Range worth looking at, rad/s: from well below to well above every corner; a sampled one ends at π/h. */
  readonly from: number;
  readonly to: number;
}
