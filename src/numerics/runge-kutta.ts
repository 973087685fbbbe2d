/** The classical Runge–Kutta step of fourth order. */

/** Where in the step a derivative is asked for: at its start, its middle or its end. */
export type Stage = 0 | 1 | 2;

/** Writes the derivative of the state `x` into `dx`. What varies with time is sampled by the caller, by `stage`. */
export type Derivative = (x: Float64Array, stage: Stage, dx: Float64Array) => void;

/** Moves the state `x` on by `h`, in place. Allocates nothing. */
export type RungeKuttaStep = (derivative: Derivative, x: Float64Array, h: number) => void;

/**
 * The classical fourth-order step (W. Kutta, 1901) for states of `size` numbers. Local error O(h⁵), global O(h⁴), where
 * the right-hand side is smooth within each step. The derivative is asked for four times: stages 0, 1, 1, 2.
 * The work is kept between calls, so one step function serves one system at a time.
 * @throws RangeError when `size` is not a positive whole number
 */
export function createRungeKutta(size: number): RungeKuttaStep {
  if (!(Number.isInteger(size) && size >= 1)) {
    throw new RangeError(`Runge–Kutta: needs a state of at least one number; given ${size}`);
  }
  const slope = new Float64Array(size);
  const sum = new Float64Array(size);
  const probe = new Float64Array(size);

  return (derivative, x, h) => {
    const half = 0.5 * h;
    derivative(x, 0, slope);
    for (let i = 0; i < size; i++) {
      const k = slope[i] as number;
      sum[i] = k;
      probe[i] = (x[i] as number) + half * k;
    }
    derivative(probe, 1, slope);
    for (let i = 0; i < size; i++) {
      const k = slope[i] as number;
      sum[i] = (sum[i] as number) + 2 * k;
      probe[i] = (x[i] as number) + half * k;
    }
    derivative(probe, 1, slope);
    for (let i = 0; i < size; i++) {
      const k = slope[i] as number;
      sum[i] = (sum[i] as number) + 2 * k;
      probe[i] = (x[i] as number) + h * k;
    }
    derivative(probe, 2, slope);
    const sixth = h / 6;
    for (let i = 0; i < size; i++) x[i] = (x[i] as number) + sixth * ((sum[i] as number) + (slope[i] as number));
  };
}
