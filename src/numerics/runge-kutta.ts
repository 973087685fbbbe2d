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
 * Four states, as the engine has, are written out, for speed; the bits are those of the loops.
 * The work is kept between calls, so one step function serves one system at a time.
 * @throws RangeError when `size` is not a positive whole number
 */
export function createRungeKutta(size: number): RungeKuttaStep {
  if (!(Number.isInteger(size) && size >= 1)) {
    throw new RangeError(`Runge–Kutta: needs a state of at least one number; given ${size}`);
  }
  if (size === 4) return createFour();
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

function createFour(): RungeKuttaStep {
  const k1 = new Float64Array(4);
  const k2 = new Float64Array(4);
  const k3 = new Float64Array(4);
  const k4 = new Float64Array(4);
  const probe = new Float64Array(4);

  return (derivative, x, h) => {
    const half = 0.5 * h;
    const sixth = h / 6;
    const a = x[0] as number;
    const b = x[1] as number;
    const c = x[2] as number;
    const d = x[3] as number;
    derivative(x, 0, k1);
    probe[0] = a + half * (k1[0] as number);
    probe[1] = b + half * (k1[1] as number);
    probe[2] = c + half * (k1[2] as number);
    probe[3] = d + half * (k1[3] as number);
    derivative(probe, 1, k2);
    probe[0] = a + half * (k2[0] as number);
    probe[1] = b + half * (k2[1] as number);
    probe[2] = c + half * (k2[2] as number);
    probe[3] = d + half * (k2[3] as number);
    derivative(probe, 1, k3);
    probe[0] = a + h * (k3[0] as number);
    probe[1] = b + h * (k3[1] as number);
    probe[2] = c + h * (k3[2] as number);
    probe[3] = d + h * (k3[3] as number);
    derivative(probe, 2, k4);
    x[0] = a + sixth * ((k1[0] as number) + 2 * (k2[0] as number) + 2 * (k3[0] as number) + (k4[0] as number));
    x[1] = b + sixth * ((k1[1] as number) + 2 * (k2[1] as number) + 2 * (k3[1] as number) + (k4[1] as number));
    x[2] = c + sixth * ((k1[2] as number) + 2 * (k2[2] as number) + 2 * (k3[2] as number) + (k4[2] as number));
    x[3] = d + sixth * ((k1[3] as number) + 2 * (k2[3] as number) + 2 * (k3[3] as number) + (k4[3] as number));
  };
}
