/** The plant as the air loop sees it: fitted models, and the ultimate point found two ways. */
import {
  type DelayFit, fitIntegrating, fitLag, type IntegratingProcess, type LagProcess, type RelayResult, type Ultimate, ultimateOf,
} from '../../linear/index.js';
import type { LinearIdle } from '../../linear/idle.js';
import type { Scenario } from '../../scenario/index.js';
import { relayOnEngine } from './relay.js';
import { airProcess } from './sensitivity.js';

/** A fit, or why there is none. */
export type Fitted<Model> = DelayFit<Model> | { readonly model: null; readonly reason: string };

export interface ProcessSeen {
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

/** @param withRelay whether the relay experiment is run as well */
export function processSeen(scenario: Scenario, idle: LinearIdle, withRelay: boolean): ProcessSeen {
  const source = airProcess(idle);
  const ultimate = ultimateOf(source);
  const slow = source.at(source.from);
  return {
    first: fitted(() => fitLag(source, 1)),
    second: fitted(() => fitLag(source, 2)),
    integrating: fitted(() => fitIntegrating(source)),
    ultimate,
    relay: withRelay && ultimate.point !== null ? relayOnEngine(idlingScenario(scenario), ultimate.point.gain) : null,
    rpmPerAir: Math.hypot(slow.re, slow.im),
  };
}
