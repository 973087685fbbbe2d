/** A trial on the model before it is asked for on the engine: the loop open, air and spark as the plan says. */
import type { Controller } from '../../controller/types.js';
import { simulate } from '../../loop/simulate.js';
import type { Trace } from '../../loop/trace.js';
import type { Scenario } from '../../scenario/index.js';

/** What is commanded at a time since the start, s: air in the valve's unit, spark in °BTDC. */
export type Script = (timeS: number) => { readonly air: number; readonly sparkDeg: number };

export interface Seen {
  readonly lowestRpm: number;
  readonly highestRpm: number;
  /** Mean of the last half second before the time asked for. */
  readonly settledRpm: number;
  readonly stalled: boolean;
  readonly stallRpm: number;
}

/** A controller that follows a script. */
function scripted({ controller: { periodS } }: Scenario, full: number, script: Script, targetRpm: number): Controller {
  let tick = 0;
  const command = { air: 0, airFraction: 0, sparkDeg: 0, targetRpm, loopClosed: false, loopOpenBecause: 'the command is held' as string | null, loadsOn: [] as boolean[] };
  return {
    step() {
      const { air, sparkDeg } = script(tick++ * periodS);
      return Object.assign(command, { air, airFraction: air / full, sparkDeg });
    },
    reset: () => (tick = 0),
    seed: () => undefined,
    setTargetOffset: () => undefined,
  } as Controller;
}

export const seenIn = (trace: Trace, fromS: number, toS: number): Seen => {
  const { timeS, speedRpm } = trace.columns;
  let [lowest, highest, sum, count] = [Infinity, -Infinity, 0, 0];
  for (let k = 0; k < trace.rows; k++) {
    const t = timeS[k] as number;
    if (t < fromS || t > toS) continue;
    const n = speedRpm[k] as number;
    [lowest, highest] = [Math.min(lowest, n), Math.max(highest, n)];
    if (t > toS - 0.5) [sum, count] = [sum + n, count + 1];
  }
  return { lowestRpm: lowest, highestRpm: highest, settledRpm: count > 0 ? sum / count : Number.NaN, stalled: trace.stalled, stallRpm: trace.stallRpm };
};

/** Runs a script on the idling engine for so long. @param full range of the valve */
export function tryScript(scenario: Scenario, full: number, script: Script, targetRpm: number, durationS: number): Seen {
  const idle = { ...scenario, controller: { ...scenario.controller, loads: [] }, drill: { ...scenario.drill, events: [], start: { ...scenario.drill.start, settled: false } }, run: { ...scenario.run, duration: durationS } } as Scenario;
  const trace = simulate(idle, { controller: scripted(idle, full, script, targetRpm) });
  return seenIn(trace, 0, durationS);
}
