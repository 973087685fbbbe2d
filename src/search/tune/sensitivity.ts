/**
 * Largest sensitivities of many gain sets on one engine: the sampled plant is worked out once, each set costs a
 * multiplication a frequency. The frequencies lie close enough for a peak to be missed by well under one per cent;
 * what is printed at last comes from `idleMargins`.
 */
import type { ControllerSettings } from '../../controller/parameters.js';
import { add, type Complex, complex, divide, magnitude } from '../../linear/complex.js';
import { linearController } from '../../linear/idle-controller.js';
import { enginePoles, exponential, unstableEnginePoles } from '../../linear/idle-engine.js';
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

/** Damping below which an engine's own swing makes a peak too narrow for the common frequencies. */
const LIGHTLY = 0.2;
/** Frequencies on either side of such a swing, half its damping apart; a damping below the least counts as that. */
const BESIDE = 20;
const LEAST_DAMPING = 2e-3;

/** Frequencies around what the engine itself hardly damps: so little gain leaves the closed loop's peak there too. */
const besideSwings = ({ engine }: LinearIdle): readonly number[] =>
  enginePoles(engine).flatMap((pole) => {
    const natural = magnitude(pole);
    const damping = Math.abs(pole.re) / natural;
    if (pole.im === 0 || damping > LIGHTLY) return [];
    return Array.from({ length: 2 * BESIDE + 1 }, (_, i) => natural * (1 + ((i - BESIDE) / 2) * Math.max(damping, LEAST_DAMPING)));
  });

/** The sampled plant of an idle along its frequencies. */
export function sampledPlantOf(idle: LinearIdle): { readonly omegas: readonly number[]; readonly plants: readonly SampledPlant[] } {
  const top = Math.PI / idle.controller.periodS;
  const count = Math.ceil(PER_DECADE * Math.log10(top / LOWEST));
  const common = Array.from({ length: count + 1 }, (_, i) => (i === count ? top : LOWEST * (top / LOWEST) ** (i / count)));
  const omegas = [...common, ...besideSwings(idle).filter((omega) => omega > LOWEST && omega < top)].sort((a, b) => a - b);
  return { omegas, plants: omegas.map((omega) => idle.plant(omega)) };
}

/** The same idle under other gains. The period and where it rests must be the same. */
export const withGains = (idle: LinearIdle, controller: ControllerSettings): LinearIdle => ({
  ...idle,
  controller: linearController(controller, idle.equilibrium.omega * RPM),
});

/** A peak whose neighbours lie lower than this share of it is looked at more closely, in so many pieces a side. */
const STEEP = 0.98;
const PIECES = 8;

/**
 * The highest of a course. A swing that is hardly damped makes a peak between two of its frequencies: so a steep one is looked
 * at in between, and the top taken from the parabola of 1/|S|², which is one near a lightly damped pole.
 */
function peakOf(omegas: readonly number[], sizes: readonly number[], at: (omega: number) => number): number {
  const top = sizes.reduce((best, size, i) => (size > (sizes[best] as number) ? i : best), 0);
  const [before, peak, after] = [sizes[top - 1], sizes[top] as number, sizes[top + 1]];
  if (before === undefined || after === undefined || Math.min(before, after) >= STEEP * peak) return peak;
  const [left, middle, right] = [omegas[top - 1], omegas[top], omegas[top + 1]] as [number, number, number];
  const fine = Array.from({ length: 2 * PIECES + 1 }, (_, i) => (i <= PIECES ? left + (i / PIECES) * (middle - left) : middle + (i / PIECES - 1) * (right - middle)));
  const squares = fine.map((omega) => 1 / at(omega) ** 2);
  const low = squares.reduce((best, value, i) => (value < (squares[best] as number) ? i : best), 0);
  const ends = [squares[low - 1], squares[low + 1]];
  if (ends[0] === undefined || ends[1] === undefined) return Math.max(peak, 1 / Math.sqrt(squares[low] as number));
  const [x0, x1, x2] = [fine[low - 1], fine[low], fine[low + 1]] as [number, number, number];
  const [y0, y1, y2] = [ends[0], squares[low] as number, ends[1]];
  const slopes = [(y1 - y0) / (x1 - x0), (y2 - y1) / (x2 - x1)] as const;
  const bend = (slopes[1] - slopes[0]) / (x2 - x0);
  const lowest = bend > 0 ? y1 - (slopes[0] + bend * (x1 - x0)) ** 2 / (4 * bend) : y1;
  return lowest > 0 ? Math.max(peak, 1 / Math.sqrt(lowest)) : 1 / Math.sqrt(y1);
}

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
    const both = airActs && sparkActs;
    const sensitivityAt = ({ air, spark }: { readonly air: Complex; readonly spark: Complex }): number => {
      const left = magnitude(add(ONE, add(air, spark)));
      // at an actuator's own break the other loop is closed: S = (1 + L_other)/(1 + L_air + L_spark)
      return both ? Math.max(1, magnitude(add(ONE, spark)), magnitude(add(ONE, air))) / left : 1 / left;
    };
    const loops = omegas.map((omega, i) => loopsAt(parts, complex(0, omega), plants[i] as SampledPlant));
    const points = loops.map(({ air, spark }, i) => ({ omega: omegas[i] as number, loop: add(air, spark) }));
    const sizes = loops.map(sensitivityAt);
    const worst = peakOf(omegas, sizes, (omega) => sensitivityAt(loopsAt(parts, complex(0, omega), idle.plant(omega))));
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
