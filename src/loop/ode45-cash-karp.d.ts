declare module 'ode45-cash-karp' {
  interface Integrator {
    y: Float64Array;
    t: number;
    dt: number;
    step(limit?: number): boolean;
  }
  interface Options {
    tol?: number;
    dtMaxMag?: number;
    verbose?: boolean;
    errorScaleFunction?: (i: number, dt: number, y: number, dydt: number) => number;
  }
  export default function ode45(y0: Float64Array, derivative: (dydt: Float64Array, y: Float64Array, t: number) => void, t0: number, dt0: number, options?: Options): Integrator;
}
