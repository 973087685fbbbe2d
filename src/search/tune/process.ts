/** The plant as the air loop sees it: fitted models, and the ultimate point found two ways. */
import {
  type DelayFit, fitIntegrating, fitLag, type IntegratingProcess, type LagProcess, type RelayResult, type Ultimate, ultimateOf,
} from '../../linear/index.js';
import { idleLoop, type LinearIdle } from '../../linear/idle.js';
import { unstableEnginePoles } from '../../linear/idle-engine.js';
import { marginsOf } from '../../linear/margins.js';
import type { Scenario } from '../../scenario/index.js';
import { relayOnEngine } from './relay.js';
import { airProcess } from './sensitivity.js';

/** A fit, or why there is none. */
export type Fitted<Model> = DelayFit<Model> | { readonly model: null; readonly reason: string };

export interface ProcessSeen {
  /** Why what the air loop sees is no stable plant: then there is nothing to fit, and no ultimate point. Null where it is one. */
  readonly unstable: string | null;
  readonly first: Fitted<LagProcess>;
  readonly second: Fitted<LagProcess>;
  readonly integrating: Fitted<IntegratingProcess>;
  readonly ultimate: Ultimate;
  /** Null where the linear loop has no ultimate gain, from which its amplitude is chosen. */
  readonly relay: (RelayResult & { readonly amplitude: number }) | null;
  /** Speed gained in the end for one unit of air, rpm. */
  readonly rpmPerAir: number;
}

function fitted<Model>(fit: () => DelayFit<Model>): Fitted<Model> {
  try {
    return fit();
  } catch (error) {
    if (!(error instanceof RangeError)) throw error;
    return { model: null, reason: error.message };
  }
}

/** The scenario idling: running, settled, nothing happening, as `linearIdleOf` takes it. */
export const idlingScenario = (scenario: Scenario): Scenario => ({
  ...scenario,
  drill: {
    ...scenario.drill,
    events: [],
    start: { ...scenario.drill.start, gear: 0, clutch: 'up', throttlePct: 0, engine: 'running', speed: null, vehicleSpeed: 0, settled: true },
  },
});

/** Why the engine, its spark trim at work as it is set, does not hold itself; null where it does. */
function unstableReason(idle: LinearIdle): string | null {
  const alone = unstableEnginePoles(idle.engine);
  if (!idle.controller.sparkActs) return alone === 0 ? null : 'the engine alone is unstable: left to itself it swings, and the swing grows';
  if (marginsOf(idleLoop(idle, 'spark'), { openLoopUnstablePoles: alone }).unstablePoles === 0) return null;
  return alone === 0 ? 'the spark trim makes the engine hunt, whatever the air does: its rate is too large' : 'the engine alone is unstable, and the spark trim does not hold it';
}

/** @param withRelay whether the relay experiment is run as well */
export function processSeen(scenario: Scenario, idle: LinearIdle, withRelay: boolean): ProcessSeen {
  const source = airProcess(idle);
  const unstable = unstableReason(idle);
  const fit = <Model>(work: () => DelayFit<Model>): Fitted<Model> => (unstable === null ? fitted(work) : { model: null, reason: unstable });
  const ultimate = unstable === null ? ultimateOf(source) : { point: null, reason: unstable };
  const slow = source.at(source.from);
  return {
    unstable,
    first: fit(() => fitLag(source, 1)),
    second: fit(() => fitLag(source, 2)),
    integrating: fit(() => fitIntegrating(source)),
    ultimate,
    relay: withRelay && ultimate.point !== null ? relayOnEngine(idlingScenario(scenario), ultimate.point.gain) : null,
    rpmPerAir: Math.hypot(slow.re, slow.im),
  };
}
