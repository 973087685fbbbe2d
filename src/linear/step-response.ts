/** A recorded step response as a frequency response. */
import { type Complex, complex } from './complex.js';
import type { FrequencyResponse } from './response.js';

/**
 * Frequency response of what gave a step response, taken as straight lines between its samples and going on at the mean slope
 * of its last tenth, so that an integrating process keeps integrating:
 *
 *     P(jω) = ∫ y′(t) e^(−jωt) dt / step = Σ slope (e^(−jωt) − e^(−jωt′))/(jω) / step
 *
 * Exact for such a curve. A tail that rises by less than `restPart` of the whole rise over the length of the record counts as
 * settled, since noise alone gives it some slope.
 *
 * @param timeS rising, from the moment of the step   @param values the output less its value before the step
 * @param step height of the step of the command
 * @throws RangeError when there are fewer than ten samples, times do not rise, or the step is 0
 */
export function responseOfStep(
  timeS: ArrayLike<number>,
  values: ArrayLike<number>,
  step: number,
  restPart = 0.05,
): FrequencyResponse {
  const n = timeS.length;
  if (n !== values.length || n < 10) throw new RangeError(`step response: needs ten samples or more of both; given ${n} and ${values.length}`);
  if (step === 0 || !Number.isFinite(step)) throw new RangeError(`step response: a step of ${step} shows nothing`);
  const t = Float64Array.from(timeS);
  const y = Float64Array.from(values);
  const slopes = new Float64Array(n - 1);
  let shortest = Infinity;
  for (let i = 0; i + 1 < n; i++) {
    const dt = (t[i + 1] as number) - (t[i] as number);
    if (!(dt > 0)) throw new RangeError(`step response: times must rise; sample ${i + 1} does not`);
    shortest = Math.min(shortest, dt);
    slopes[i] = ((y[i + 1] as number) - (y[i] as number)) / dt;
    if (!Number.isFinite(slopes[i])) throw new RangeError(`step response: sample ${i} or ${i + 1} is not finite`);
  }
  const [start, end] = [t[0] as number, t[n - 1] as number];
  const tailFrom = Math.min(n - 2, Math.floor(0.9 * (n - 1)));
  const tail = ((y[n - 1] as number) - (y[tailFrom] as number)) / (end - (t[tailFrom] as number));
  const rise = Math.abs((y[n - 1] as number) - (y[0] as number));
  const goesOn = Math.abs(tail) * (end - start) > restPart * rise ? tail : 0;
  return {
    periodS: null,
    from: 1e-3 / (end - start),
    // Straight lines between samples say nothing of what is faster.
    to: Math.PI / (10 * shortest),
    at(omega): Complex {
      // ∫ e^(−jωt) dt over a segment as sinc at its middle, which does not lose digits at low frequencies.
      let [re, im] = [0, 0];
      for (let i = 0; i + 1 < n; i++) {
        const [a, b] = [t[i] as number, t[i + 1] as number];
        const half = 0.5 * omega * (b - a);
        const weight = (slopes[i] as number) * (b - a) * (half < 1e-4 ? 1 - (half * half) / 6 : Math.sin(half) / half);
        const middle = 0.5 * omega * (a + b);
        re += weight * Math.cos(middle);
        im -= weight * Math.sin(middle);
      }
      // goesOn · e^(−jωt)/(jω) from the end on
      re -= (goesOn * Math.sin(omega * end)) / omega;
      im -= (goesOn * Math.cos(omega * end)) / omega;
      return complex(re / step, im / step);
    },
  };
}
