/** The idle of a scenario as a linear system: where it rests, its engine, its loops, their margins and poles. */
import type { Setup } from '../loop/setup.js';
import { type Complex, complex, multiply, scale, subtract } from './complex.js';
import { type Equilibrium, type EquilibriumOptions, equilibriumOf } from './equilibrium.js';
import { linearController } from './idle-controller.js';
import { enginePoles, exponential, unstableEnginePoles } from './idle-engine.js';
import { type BreakName, createPlantMemory, loopResponse, type LoopParts, returnDifferenceAt, type SampledPlant } from './idle-loops.js';
import { valvePoles } from './idle-valve.js';
import { type Balance, type LinearEngine, linearise } from './jacobian.js';
import { lineariseRegression } from './jacobian-regression.js';
import { type Margins, marginsOf } from './margins.js';
import type { FrequencyResponse } from './response.js';
import { rightmost, zerosIn } from './zeros.js';

export interface LinearIdle extends LoopParts {
  readonly equilibrium: Equilibrium;
  readonly balance: Balance;
  readonly engine: LinearEngine;
  /** Sampled plant against frequency, rad/s; remembers. */
  readonly plant: (omega: number) => SampledPlant;
}

/**
 * Linearises a scenario's idle in neutral.
 *
 * @throws RangeError where there is no equilibrium or no linear model, with the reason
 */
export function linearIdleOf(setup: Setup, options: EquilibriumOptions = {}): LinearIdle {
  const equilibrium = equilibriumOf(setup, options);
  const { engine, balance } = setup.engine.model === 'regression' ? lineariseRegression(setup.engine, equilibrium) : linearise(setup.engine, setup.valve, equilibrium, setup.run.step);
  const targetRpm = (equilibrium.omega * 30) / Math.PI;
  const parts: LoopParts = {
    engine,
    controller: linearController(setup.controller, targetRpm),
    firingS: equilibrium.firingInterval / equilibrium.omega,
    airFull: equilibrium.command / equilibrium.air,
  };
  return { ...parts, equilibrium, balance, plant: createPlantMemory(parts) };
}

/** One of the idle's loops. */
export const idleLoop = (idle: LinearIdle, where: BreakName): FrequencyResponse => loopResponse(idle, where, idle.plant);

export interface IdleMargins {
  /** By break; null where nothing acts there. */
  readonly loops: Readonly<Record<BreakName, Margins | null>>;
  /** Whether the whole of it is stable, both loops closed as the controller has them. */
  readonly stable: boolean | null;
  /** Unstable poles of the engine by itself, air and spark held. */
  readonly engineUnstablePoles: number;
  /** Largest sensitivity broken at the speed, and the worst of that and of each actuator's own break. */
  readonly ms: number | null;
  readonly worstMs: number | null;
}

/** Margins of every loop that acts. */
export function idleMargins(idle: LinearIdle): IdleMargins {
  const { airActs, sparkActs } = idle.controller;
  const engineUnstablePoles = unstableEnginePoles(idle.engine);
  const margins = (where: BreakName, openLoopUnstablePoles: number): Margins => marginsOf(idleLoop(idle, where), { openLoopUnstablePoles });
  const air = airActs ? margins('air', engineUnstablePoles) : null;
  const spark = sparkActs ? margins('spark', engineUnstablePoles) : null;
  const both = airActs && sparkActs ? margins('both', engineUnstablePoles) : null;
  // with the other loop closed, what that loop leaves unstable is the open loop's
  const airBreak = both !== null && spark?.unstablePoles != null ? margins('airBreak', spark.unstablePoles) : null;
  const sparkBreak = both !== null && air?.unstablePoles != null ? margins('sparkBreak', air.unstablePoles) : null;
  const whole = both ?? air ?? spark;
  const all = [whole, airBreak, sparkBreak].filter((each) => each !== null).map((each) => each.ms);
  return {
    loops: { air, spark, both, airBreak, sparkBreak },
    stable: whole === null ? engineUnstablePoles === 0 : whole.stable,
    engineUnstablePoles,
    ms: whole?.ms ?? null,
    worstMs: all.length === 0 || all.some((ms) => ms === null) ? null : Math.max(...(all as number[])),
  };
}

/** 1 + L without its own poles, beside which its zeros, the closed loop's poles, could not be made out. */
export function closedCharacteristic(idle: LinearIdle, engine: readonly Complex[]): (s: Complex) => Complex {
  const { periodS, poles } = idle.controller;
  const open = [...engine, ...valvePoles(idle.engine.valve)].flatMap((pole) => (pole.im === 0 ? [pole] : [pole, complex(pole.re, -pole.im)]));
  const factors = [...open.map((pole) => exponential(scale(pole, periodS))), ...poles.map((pole) => complex(pole))];
  return (s) => {
    const before = exponential(scale(s, -periodS));
    return factors.reduce((product, pole) => multiply(product, subtract(complex(1), multiply(pole, before))), returnDifferenceAt(idle, s));
  };
}

/** Poles of the engine alone, and of the closed loop (as s = ln z/h), upper half, rightmost first; the slow end of endless ones. */
export function idlePoles(idle: LinearIdle): { readonly engine: readonly Complex[]; readonly closed: readonly Complex[] } {
  const { airActs, sparkActs, periodS } = idle.controller;
  const engine = enginePoles(idle.engine);
  if (!airActs && !sparkActs) return { engine, closed: engine };
  const top = Math.min(Math.PI / periodS, FASTEST_SWING);
  return { engine, closed: rightmost(zerosIn(closedCharacteristic(idle, engine), { left: -20, right: 20, top })) };
}

/** Swings faster than this, rad/s, are beyond what an idle's loops can do. */
const FASTEST_SWING = 60;
