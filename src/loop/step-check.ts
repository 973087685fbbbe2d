/**
 * What the fixed step costs: the same run again with a step an eighth as long, each of them integrated by an adaptive
 * method of another author (ode45-cash-karp: Cash and Karp, ACM Trans. Math. Software 16, 1990) that reads the delays at
 * the crank angle it is at. Controller ticks, events and rows stay where they were.
 */
import ode45 from 'ode45-cash-karp';
import { createModel } from '../plant/models.js';
import type { Integrator, PlantOptions } from '../plant/plant.js';
import type { Plant } from '../plant/types.js';
import type { Setup } from './setup.js';
import { simulate } from './simulate.js';
import type { Trace } from './trace.js';

export const PARTS = 8;
const TOLERANCE = 1e-9;
/** Adaptive steps allowed within one part; a right-hand side that never settles is a bug. */
const MOST_STEPS = 10_000;

export interface StepCost {
  /** Largest differences of speed (rpm) and manifold pressure (kPa), and when (s). */
  readonly speedRpm: number;
  readonly speedAtS: number;
  readonly mapKpa: number;
  readonly mapAtS: number;
  /** Difference of the stall times, s; null when neither or only one of the two stalls. */
  readonly stallS: number | null;
  /** Whether both stall or neither does. */
  readonly agree: boolean;
  readonly rows: number;
}

/** An integrator for `createPlant` that is adaptive within each step. */
export function createAdaptive(): Integrator {
  let solver: ReturnType<typeof ode45> | null = null;
  return (derivative, x, h) => {
    solver ??= ode45(Float64Array.from(x), (dydt, y, t) => derivative(y, t / h, dydt), 0, h, {
      tol: TOLERANCE,
      verbose: false,
      errorScaleFunction: (_i, _dt, y) => 1e-6 + Math.abs(y),
    });
    solver.y.set(x);
    solver.t = 0;
    for (let steps = 0; solver.t < h; steps++) {
      if (steps > MOST_STEPS) throw new Error('step check: the adaptive integrator does not come to the end of a step');
      // an error estimate of exactly zero would let dt grow past every limit
      solver.dt = Math.min(solver.dt, h);
      solver.step(h);
    }
    x.set(solver.y);
  };
}

/** A plant that makes `parts` steps for each one asked of it. */
export function refined(inner: Plant, parts: number): Plant {
  return {
    ...inner,
    step: inner.step * parts,
    advance() {
      for (let i = 0; i < parts; i++) inner.advance();
    },
  };
}

/**
 * Repeats a run and compares.
 *
 * @param trace of the same setup   @param make how the plant is made, where that is not `createModel` (laws of your own)
 */
export function stepCost(
  setup: Setup,
  trace: Trace,
  make = (options: PlantOptions): Plant => createModel(setup.engine, setup.valve, options),
): StepCost {
  const plant = make({ step: setup.run.step / PARTS, seed: setup.run.seed, integrator: createAdaptive() });
  const judge = simulate(setup, { plant: { ...refined(plant, PARTS), step: setup.run.step } });
  const rows = Math.min(trace.rows, judge.rows);
  const largest = (name: 'speedRpm' | 'mapKpa'): { difference: number; atS: number } => {
    let [difference, atS] = [0, 0];
    for (let k = 0; k < rows; k++) {
      const d = Math.abs(trace.columns[name][k]! - judge.columns[name][k]!);
      if (d > difference) [difference, atS] = [d, trace.columns.timeS[k]!];
    }
    return { difference, atS };
  };
  const [speed, map] = [largest('speedRpm'), largest('mapKpa')];
  return {
    speedRpm: speed.difference,
    speedAtS: speed.atS,
    mapKpa: map.difference,
    mapAtS: map.atS,
    stallS: trace.stallTimeS === null || judge.stallTimeS === null ? null : Math.abs(trace.stallTimeS - judge.stallTimeS),
    agree: trace.stalled === judge.stalled,
    rows,
  };
}
