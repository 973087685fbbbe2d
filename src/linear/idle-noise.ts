/**
 * What the roughness of an engine does to its idle: scatter of the reading and activity of the spark, from the linear loops.
 *
 * Each firing's torque is off by a share of spread c, independent of the others, until the next firing (roughness.ts):
 *
 *     S_T(ω) = (c·T)²·T_f·|mean(T_f)|²          two-sided power density of the torque, T_f the firing interval
 *     σ²     = 1/2π ∫ |P_T·mean(T_f)·S|²·S_T dω      S(e^(jωh)) repeats with the sampling, so what is faster folds down
 *
 * The reading is the mean over a firing interval; that it is of any age turns it but takes nothing off its power.
 * Source: K. J. Åström, Introduction to Stochastic Control Theory, 1970, ch. 4 (power through a linear system).
 */
import { findRoot } from '../numerics/root.js';
import type { ControllerSettings } from '../controller/parameters.js';
import { add, complex, magnitude, multiply } from './complex.js';
import { engineAt, exponential, meanOver } from './idle-engine.js';
import type { LinearIdle } from './idle.js';
import { linearController } from './idle-controller.js';

/** Points up to π/h, and how often the range is repeated above it. */
const POINTS = 400;
const FOLDS = 6;
const RPM = 30 / Math.PI;

export interface Scatter {
  /** Root mean square of the reading about the target, rpm, and of the spark trim, degrees. */
  readonly readingRpm: number;
  readonly trimDeg: number;
}

/** Scatter at any spark rate of one idle: the engine's part is worked out once. @param covPct COV of IMEP, % */
export function createScatter(idle: LinearIdle, settings: ControllerSettings, covPct: number): (rateDegPerRpm: number) => Scatter {
  const h = settings.periodS;
  const top = Math.PI / h;
  const width = top / POINTS;
  const torque = (covPct / 100) * idle.balance.indicated;
  const omegas = Array.from({ length: POINTS }, (_, i) => (i + 0.5) * width);
  // power of the open-loop reading, rpm² for each rad/s, all that folds onto a frequency taken together
  const power = omegas.map((omega) => {
    let sum = 0;
    for (let fold = 0; fold < FOLDS; fold++) {
      for (const at of fold === 0 ? [omega] : [2 * fold * top - omega, 2 * fold * top + omega]) {
        const s = complex(0, at);
        const mean = magnitude(meanOver(idle.firingS, s));
        sum += (magnitude(engineAt(idle.engine, s).fromLoad) * mean * RPM * torque * mean) ** 2 * idle.firingS;
      }
    }
    return sum / Math.PI;
  });
  const loops = omegas.map((omega) => ({ z: exponential(complex(0, omega * h)), plant: idle.plant(omega) }));
  return (rateDegPerRpm) => {
    const controller = linearController({ ...settings, spark: { ...settings.spark, rateDegPerRpm } }, idle.equilibrium.omega * RPM);
    let [reading, trim] = [0, 0];
    loops.forEach(({ z, plant }, i) => {
      const spark = controller.spark(z);
      const returned = magnitude(add(complex(1), add(multiply(controller.air(z), plant.air), multiply(spark, plant.spark))));
      const part = ((power[i] as number) * width) / (returned * returned);
      reading += part;
      trim += part * magnitude(spark) ** 2;
    });
    return { readingRpm: Math.sqrt(reading), trimDeg: Math.sqrt(trim) };
  };
}

/**
 * The spark rate, °/rpm, at which roughness alone makes the trim as active as said.
 * @param most rate up to which is looked, at which the loop must still be stable  @returns null when it stays calmer up to there
 */
export function roughnessLimit(scatter: (rate: number) => Scatter, activityDeg: number, most: number): number | null {
  const over = (rate: number): number => scatter(rate).trimDeg - activityDeg;
  const high = 0.999 * most;
  if (!(over(high) > 0)) return null;
  return findRoot(over, 0, high, 1e-6, 'spark rate');
}
