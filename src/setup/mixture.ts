/**
 * Why not hold the idle with fuel? What mixture can do to the torque of a warm idle, beside what air can, and beside what each
 * load takes. Reader's units.
 *
 * From the steady point that the valve holds at lambda 1, with speed, spark and temperatures held: mixture moves lambda and
 * leaves the air as it is; air moves the valve and leaves lambda at 1. Changes of torque are at the crank, pumping with it.
 */
import { findMinimum } from '../linear/minimum.js';
import { interpolate } from '../numerics/curve.js';
import { toSI } from '../parameter/unit.js';
import { createModel, type ModelSettings } from '../plant/models.js';
import { regressionTorque } from '../plant/regression.js';
import type { Plant } from '../plant/types.js';
import type { Scenario } from '../scenario/index.js';
import { HOT_C } from './drills.js';
import { loadsOf, type LoadTorque } from './mixture-loads.js';

/** Lambda looked at when nothing is said, and the widest that may be asked for (the range of `engine.fuel.lambda`). */
export const LAMBDA_RANGE = [0.7, 1.2] as const;
export const LAMBDA_LIMITS = [0.6, 1.4] as const;
/** Where the source of the mean-value engine's mixture ends on the rich side (src/plant/laws/torque.ts). */
export const RICHEST_OF_SOURCE = 0.8;
/** Air to fuel of the published regression that is taken for lambda 1: its own runs are made there (Crossley and Cook 1991). */
export const REGRESSION_STOICHIOMETRIC = 14.6;
/** Air to fuel that `engine.airFuel` may be. */
const REGRESSION_LIMITS = [10, 20] as const;
const POINTS = 50;

/** A curve of torque: its change from the idle, N·m; null where there is none to be had. */
export interface TorqueCurve {
  readonly x: readonly number[];
  readonly changeNm: readonly (number | null)[];
}

/** The most that a curve adds, N·m, and where. */
export interface Most {
  readonly addsNm: number;
  readonly at: number;
}

export interface MixtureAnswer {
  readonly idle: {
    readonly rpm: number; readonly coolantC: number; readonly sparkDeg: number; readonly mapKpa: number;
    /** What holds it at lambda 1, in the valve's unit; beyond its ends where it cannot. */
    readonly air: number;
    /** Torque before friction, pumping and loads; null where there is none to tell, and why. */
    readonly indicatedNm: number | null;
    readonly indicatedBecause: string | null;
  };
  readonly airUnit: '%' | 'step';
  readonly lambdaRange: readonly [number, number];
  readonly byMixture: TorqueCurve;
  readonly byAir: TorqueCurve;
  /** The published regression, at the same lambdas. */
  readonly published: TorqueCurve;
  readonly mixture: Most;
  readonly publishedMost: Most;
  /** What the full valve adds and the shut one leaves, N·m. */
  readonly airAddsNm: number;
  readonly airTakesNm: number;
  /** Air that adds as much as mixture can at most, beyond the idle's, in the valve's unit; null when the valve has not got it. */
  readonly worthOfAir: number | null;
  readonly loads: readonly LoadTorque[];
  /** Why the numbers do not stand for an idle of this engine, or null. */
  readonly flag: string | null;
}

const atLambda = (engine: ModelSettings, lambda: number): ModelSettings =>
  engine.model === 'regression'
    ? { ...engine, airFuel: REGRESSION_STOICHIOMETRIC * lambda }
    : { ...engine, fuel: { ...engine.fuel, lambda: { x: [toSI(HOT_C, 'degC')], y: [lambda] } } };

/** Torque left over at the crank, N·m: as the regression tells it, or the sum of the terms. */
const surplus = (plant: Plant): number => {
  const { indicated, pumping, friction, load } = plant.observe();
  return indicated - pumping - friction - load;
};

/** Change of the published regression's torque from lambda 1: its term in air to fuel stands by itself. */
const publishedChange = (lambda: number): number | null => {
  const airFuel = REGRESSION_STOICHIOMETRIC * lambda;
  if (airFuel < REGRESSION_LIMITS[0] || airFuel > REGRESSION_LIMITS[1]) return null;
  return regressionTorque(0, 0, 0, airFuel) - regressionTorque(0, 0, 0, REGRESSION_STOICHIOMETRIC);
};

/** The highest point: the best of a grid, then between its neighbours. */
function mostOf(change: (lambda: number) => number, lambdas: readonly number[]): Most {
  const changes = lambdas.map(change);
  const best = changes.indexOf(Math.max(...changes));
  const { x, y } = findMinimum((lambda) => -change(lambda), lambdas[Math.max(0, best - 1)]!, lambdas[Math.min(lambdas.length - 1, best + 1)]!, 1e-7);
  return { addsNm: -y, at: x };
}

/** @throws RangeError when the range of lambda is none, or goes beyond what the engine can be asked for */
function checkRange(engine: ModelSettings, [low, high]: readonly [number, number]): void {
  const limits = engine.model === 'regression' ? REGRESSION_LIMITS.map((airFuel) => airFuel / REGRESSION_STOICHIOMETRIC) : LAMBDA_LIMITS;
  // to the inside, so that what is said to be allowed is
  const [least, most] = [Math.ceil(limits[0]! * 100) / 100, Math.floor(limits[1]! * 100) / 100];
  if (!(low < high)) throw new RangeError(`${low}:${high}: the first must lie below the second`);
  if (low < least || high > most) throw new RangeError(`${low}:${high} is outside ${least} … ${most}`);
  if (low > 1 || high < 1) throw new RangeError(`${low}:${high}: 1 must lie within, since changes are counted from there`);
}

/**
 * @param scenarios of one engine and controller: their drills' loads are told together
 * @throws RangeError as `checkRange`
 */
export function mixture(scenarios: readonly Scenario[], lambdaRange: readonly [number, number] = LAMBDA_RANGE): MixtureAnswer {
  const scenario = scenarios[0]!;
  const { engine, valve, run, controller, drill } = scenario;
  checkRange(engine, lambdaRange);
  const rpm = interpolate(controller.targetRpm, HOT_C);
  const omega = toSI(rpm, 'rpm');
  const sparkDeg = interpolate(controller.spark.baseDeg, HOT_C) + interpolate(controller.spark.slopeDeg, rpm);
  const plantAt = (lambda: number): Plant => {
    const plant = createModel(atLambda(engine, lambda), valve, { step: run.step, seed: run.seed });
    Object.assign(plant.inputs, { coolant: toSI(HOT_C, 'degC'), oil: toSI(HOT_C, 'degC'), spark: toSI(sparkDeg, 'deg'), supply: drill.start.supply, air: 0.3 });
    return plant;
  };
  const put = (plant: Plant, air: number, pressure: number | null): Plant => {
    plant.inputs.air = air;
    plant.reset({ omega, pressure, vehicleSpeed: 0, engine: 'running' });
    return plant;
  };

  const plant = plantAt(1);
  put(plant, 0.3, null);
  const idle = plant.trimAt(omega);
  const { full, unit } = plant.valve;
  const base = surplus(put(plant, idle.air, idle.pressure));
  const { indicated } = plant.observe();

  const change = (lambda: number): number => surplus(put(plantAt(lambda), idle.air, idle.pressure)) - base;
  const [low, high] = lambdaRange;
  const lambdas = Array.from({ length: POINTS + 1 }, (_, i) => low + (i * (high - low)) / POINTS);
  const byMixture = { x: lambdas, changeNm: lambdas.map(change) };
  const most = mostOf(change, lambdas);
  const commands = Array.from({ length: POINTS + 1 }, (_, i) => i / POINTS);
  const byAir = commands.map((air) => surplus(put(plant, air, null)) - base);
  const loads = loadsOf(scenarios, plant, () => put(plant, idle.air, idle.pressure));
  plant.inputs.load = most.addsNm;
  const braked = plant.trimAt(omega);
  const beyond = idle.air < 0 || idle.air > 1;
  return {
    idle: {
      rpm, coolantC: HOT_C, sparkDeg, mapKpa: idle.pressure / 1e3, air: idle.air * full,
      ...(engine.model === 'regression'
        ? { indicatedNm: null, indicatedBecause: 'the regression tells torque at the crank alone' }
        : { indicatedNm: indicated, indicatedBecause: null }),
    },
    airUnit: unit,
    lambdaRange,
    byMixture,
    byAir: { x: commands.map((air) => air * full), changeNm: byAir },
    published: { x: lambdas, changeNm: lambdas.map(publishedChange) },
    mixture: most,
    publishedMost: mostOf((lambda) => publishedChange(lambda) ?? Number.NEGATIVE_INFINITY, lambdas),
    airAddsNm: byAir.at(-1)!,
    airTakesNm: byAir[0]!,
    worthOfAir: beyond || braked.air > 1 ? null : (braked.air - idle.air) * full,
    loads,
    flag: beyond ? `the valve cannot hold ${Math.round(rpm)} rpm hot: it would have to stand at ${(idle.air * 100).toFixed(0).replace('-', '−')} % of its range` : null,
  };
}
