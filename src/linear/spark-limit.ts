/**
 * How much spark trim an engine bears: the largest stable rate, in closed form and from the whole loop, and the rates at
 * which roughness and authority spoil it before.
 *
 * Closed form: the crank is an integrator from torque to speed, and an integrator with dead time τ turns unstable at K·τ = π/2,
 * swinging once in 4τ (K. J. Åström and T. Hägglund, Advanced PID Control, 2006; derived in tests):
 *
 *     K = k_s·rate·(30/π)/J            k_s: N·m for each degree of spark, rate: ° for each rpm, J: kg m²
 *     rate_max = (π/2)·(π/30)·J/(k_s·τ)                           °/rpm
 *     τ = spark delay + T (half for the mean over a firing interval T, half for the reading's age) + h/2 (hold)
 *
 * The means and the hold also shrink a wave of frequency π/2τ, each by sin(x)/x, x half its length in radians of the wave:
 * `closedFormShrunk` lets K be larger by as much.
 */
import { add, type Complex, complex, divide, multiply, subtract } from './complex.js';
import { exponential, unstableEnginePoles } from './idle-engine.js';
import { idleLoop, type LinearIdle } from './idle.js';
import { linearController } from './idle-controller.js';
import type { ControllerSettings } from '../controller/parameters.js';
import { marginsOf } from './margins.js';
import type { FrequencyResponse } from './response.js';

/** Rates beyond this, °/rpm, are told as beyond: fifty times what is used. */
export const HIGHEST_RATE = 5;

export interface StableRate {
  /** °/rpm; null where no rate is stable, or none unstable, with the reason. */
  readonly rate: number | null;
  readonly because: string | null;
  /** Frequency of the hunting there, Hz. */
  readonly huntingHz: number | null;
}

export interface SparkLimit {
  /** N·m for each degree; the dead time that counts, s. */
  readonly torquePerDegree: number;
  readonly deadS: number;
  /** °/rpm, and the frequency of its hunting, Hz. */
  readonly closedForm: number;
  readonly closedFormShrunk: number;
  readonly closedFormHz: number;
  /** Spark alone on the whole engine, air held; and beside the air loop as it is. */
  readonly alone: StableRate;
  readonly withAir: StableRate;
}

const RPM = 30 / Math.PI;
const DEG = Math.PI / 180;
const ONE = complex(1);

/** Closed form for an integrator: rate, °/rpm, and hunting frequency, Hz. @param inertia kg m²  @param torquePerDegree N·m/°  @param deadS s */
export function integratorSparkLimit(inertia: number, torquePerDegree: number, deadS: number): { readonly rate: number; readonly huntingHz: number } {
  return { rate: (Math.PI / 2 / RPM) * (inertia / (torquePerDegree * deadS)), huntingHz: 1 / (4 * deadS) };
}

/** The spark loop for a rate of 1 °/rpm, washout as set, with what else acts on the speed closed around the engine. */
export function unitSparkLoop(idle: LinearIdle, settings: ControllerSettings, withAir: boolean): FrequencyResponse {
  const unit = linearController({ ...settings, hold: null, spark: { ...settings.spark, rateDegPerRpm: 1, authorityDeg: 1 } }, idle.equilibrium.omega * RPM);
  const slope = linearController({ ...settings, hold: null, spark: { ...settings.spark, rateDegPerRpm: 0 } }, idle.equilibrium.omega * RPM);
  const air = idleLoop(idle, 'air');
  return {
    ...air,
    at(omega) {
      const z = exponential(complex(0, omega * unit.periodS));
      const { spark } = idle.plant(omega);
      const others = add(multiply(slope.spark(z), spark), withAir ? air.at(omega) : complex(0));
      return divide(multiply(subtract(unit.spark(z), slope.spark(z)), spark), add(ONE, others));
    },
  };
}

/** Growing poles with the spark rate at nothing: of the engine, or with its air loop (and any slope of the spark). */
function unstableWithoutRate(idle: LinearIdle, settings: ControllerSettings, withAir: boolean): number | null {
  const before = unstableEnginePoles(idle.engine);
  const slope = linearController({ ...settings, spark: { ...settings.spark, rateDegPerRpm: 0 } }, idle.equilibrium.omega * RPM);
  const air = idleLoop(idle, 'air');
  const acts = (withAir && idle.controller.airActs) || slope.sparkActs;
  if (!acts) return before;
  const loop: FrequencyResponse = {
    ...air,
    at(omega): Complex {
      const z = exponential(complex(0, omega * slope.periodS));
      return add(multiply(slope.spark(z), idle.plant(omega).spark), withAir ? air.at(omega) : complex(0));
    },
  };
  return marginsOf(loop, { openLoopUnstablePoles: before }).unstablePoles;
}

function stableRate(idle: LinearIdle, settings: ControllerSettings, withAir: boolean): StableRate {
  const unstable = unstableWithoutRate(idle, settings, withAir);
  const none = (because: string): StableRate => ({ rate: null, because, huntingHz: null });
  if (unstable === null) return none('the loop without spark trim sits on the edge of stability');
  if (unstable > 0) return none(withAir && idle.controller.airActs ? 'the air loop hunts by itself' : 'the engine hunts by itself');
  const { phaseCrossovers } = marginsOf(unitSparkLoop(idle, settings, withAir));
  // stable at nothing, so the first crossing on the way up is the limit
  const first = phaseCrossovers.reduce<(typeof phaseCrossovers)[number] | null>((best, each) => (best === null || each.gainMargin < best.gainMargin ? each : best), null);
  if (first === null) return none('no rate makes it hunt');
  return { rate: first.gainMargin, because: null, huntingHz: first.omega / (2 * Math.PI) };
}

/** The largest stable spark rate of a linearised idle. Authority counts as off. @param settings the controller's; its rate is not looked at */
export function sparkLimitOf(idle: LinearIdle, settings: ControllerSettings): SparkLimit {
  const { engine, firingS } = idle;
  const h = settings.periodS;
  const inertia = -1 / engine.speed.byLoad;
  const torquePerDegree = engine.speed.bySpark * inertia * DEG;
  const deadS = engine.sparkDelay + firingS + h / 2;
  const { rate, huntingHz } = integratorSparkLimit(inertia, torquePerDegree, deadS);
  const omega = Math.PI / 2 / deadS;
  const shrunk = (length: number): number => Math.sin((omega * length) / 2) / ((omega * length) / 2);
  return {
    torquePerDegree,
    deadS,
    closedForm: rate,
    closedFormShrunk: rate / (shrunk(firingS) ** 2 * shrunk(h)),
    closedFormHz: huntingHz,
    alone: stableRate(idle, settings, false),
    withAir: stableRate(idle, settings, true),
  };
}
