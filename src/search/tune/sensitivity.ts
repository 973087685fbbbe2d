/**
 * Largest sensitivities of many gain sets on one engine: the sampled plant is worked out once, each set costs a
 * multiplication a frequency. The frequencies lie close enough for a peak to be missed by well under one per cent;
 * what is printed at last comes from `idleMargins`.
 */
import type { ControllerSettings } from '../../controller/parameters.js';
import { add, type Complex, complex, divide, magnitude } from '../../linear/complex.js';
import { linearController } from '../../linear/idle-controller.js';
import { exponential, unstableEnginePoles } from '../../linear/idle-engine.js';
import { idleMargins, linearIdleOf, type LinearIdle } from '../../linear/idle.js';
import { loopsAt, type SampledPlant } from '../../linear/idle-loops.js';
import { nyquistVerdict } from '../../linear/nyquist.js';
import type { Scenario } from '../../scenario/index.js';

/** Well below an integral that takes an hour, so that the loop is seen to integrate. */
const LOWEST = 1e-4;
const PER_DECADE = 45;
const ONE = complex(1);
const RPM = 30 / Math.PI;

export interface Sensitivity {
  /** Whether both loops closed are stable. */
  readonly stable: boolean;
  /** Largest of |S| broken at the speed and at each actuator; Infinity when not stable. */
  readonly ms: number;
}

export type SensitivityOf = (controller: ControllerSettings) => Sensitivity;

/** The sampled plant of an idle along its frequencies. */
export function sampledPlantOf(idle: LinearIdle): { readonly omegas: readonly number[]; readonly plants: readonly SampledPlant[] } {
  const top = Math.PI / idle.controller.periodS;
  const count = Math.ceil(PER_DECADE * Math.log10(top / LOWEST));
  const omegas = Array.from({ length: count + 1 }, (_, i) => (i === count ? top : LOWEST * (top / LOWEST) ** (i / count)));
  return { omegas, plants: omegas.map((omega) => idle.plant(omega)) };
}

/** The same idle under other gains. The period and where it rests must be the same. */
export const withGains = (idle: LinearIdle, controller: ControllerSettings): LinearIdle => ({
  ...idle,
  controller: linearController(controller, idle.equilibrium.omega * RPM),
});

/**
 * What gives the sensitivity of any gains at a scenario's idle.
 *
 * @throws RangeError where it has no idle
 */
export function createSensitivity(scenario: Scenario): { readonly idle: LinearIdle; readonly of: SensitivityOf } {
  const idle = linearIdleOf(scenario);
  const { omegas, plants } = sampledPlantOf(idle);
  const unstable = unstableEnginePoles(idle.engine);
  const of = (controller: ControllerSettings): Sensitivity => {
    const parts = withGains(idle, controller);
    const { airActs, sparkActs, integrates } = parts.controller;
    if (!airActs && !sparkActs) return { stable: unstable === 0, ms: 1 };
    const points: { omega: number; loop: Complex }[] = [];
    let worst = 0;
    omegas.forEach((omega, i) => {
      const { air, spark } = loopsAt(parts, complex(0, omega), plants[i] as SampledPlant);
      const loop = add(air, spark);
      points.push({ omega, loop });
      const left = magnitude(add(ONE, loop));
      // at an actuator's own break the other loop is closed: S = (1 + L_other)/(1 + L_air + L_spark)
      worst = Math.max(worst, 1 / left, ...(airActs && sparkActs ? [magnitude(add(ONE, spark)) / left, magnitude(add(ONE, air)) / left] : []));
    });
    const verdict = nyquistVerdict({ points, integrators: integrates ? 1 : 0, endsAtNyquist: true }, unstable);
    const stable = verdict.stable ?? idleMargins(parts).stable === true;
    return { stable, ms: stable ? worst : Number.POSITIVE_INFINITY };
  };
  return { idle, of };
}

/** What the air loop acts on: command to reading, the spark trim at work as it is set. Sampled. */
export function airProcess(idle: LinearIdle) {
  const h = idle.controller.periodS;
  return {
    periodS: h,
    from: 0.01,
    to: Math.PI / h,
    at(omega: number): Complex {
      const { air, spark } = idle.plant(omega);
      if (!idle.controller.sparkActs) return air;
      const z = exponential(complex(0, omega * h));
      const trim = idle.controller.spark(z);
      return divide(air, add(ONE, { re: trim.re * spark.re - trim.im * spark.im, im: trim.re * spark.im + trim.im * spark.re }));
    },
  };
}
