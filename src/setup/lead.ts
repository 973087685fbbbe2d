/** Lead: how long before a load that it switches itself the controller lets the air in. */
import type { Scenario } from '../scenario/index.js';
import { withController } from './apply.js';
import { airLag, lagS, type LoadSettings } from './loads.js';
import type { Runner } from './prove.js';
import type { SetupRow } from './result.js';

/** Common practice, no source: a little under a second. */
const PRACTICE_S = 0.85;
/** Shares of the air path's lag that are tried: the lag is where the air has come, not where it begins to. */
const SHARES = [0.4, 0.6, 0.8, 1, 1.2];

/** What a lead comes to: sag and flare of the load coming on, the flare before its engagement included. */
interface LeadTry {
  readonly leadS: number;
  readonly sagRpm: number;
  readonly flareRpm: number;
  readonly cost: number;
  readonly stalled: boolean;
}

function tryLead(drill: Scenario, index: number, leadS: number, runner: Runner): LeadTry {
  const loads = drill.controller.loads.map((load, i) => (i === index ? { ...load, leadS } : load));
  const { scored } = runner.run(withController(drill, { loads })).result;
  const name = loads[index]!.name;
  const event = scored.events.find((each) => each.name === name);
  const { scales } = drill.scoring;
  const [sagRpm, flareRpm] = [event?.sagRpm ?? 0, event?.flareRpm ?? 0];
  return { leadS, sagRpm, flareRpm, cost: Math.sqrt((sagRpm / scales.sagRpm) ** 2 + (flareRpm / scales.flareRpm) ** 2), stalled: scored.stalled };
}

/**
 * The lead with the least of sag and flare together, each over its scale: none, shares of the air path's lag, and practice.
 *
 * @param drill in which the load comes on, with every other setting in place
 */
export function leadFor(drill: Scenario, load: LoadSettings, index: number, rpm: number, runner: Runner): { readonly leadS: number; readonly row: SetupRow } {
  const lag = airLag(drill, rpm, load.air);
  const most = lagS(lag);
  const tick = drill.controller.periodS;
  const onTick = (timeS: number): number => Number((Math.round(timeS / tick) * tick).toFixed(4));
  const leads = [...new Set([0, ...SHARES.map((share) => onTick(share * most)), onTick(PRACTICE_S)])].sort((a, b) => a - b);
  const tries = leads.map((leadS) => tryLead(drill, index, leadS, runner));
  const rank = (t: LeadTry): number => (t.stalled ? Number.POSITIVE_INFINITY : t.cost);
  const best = tries.reduce((a, b) => (rank(b) < rank(a) ? b : a));
  const part = (timeS: number): string => timeS.toFixed(2);
  return {
    leadS: best.leadS,
    row: {
      key: `controller.loads.${index}.lead`, text: best.leadS.toFixed(2), unit: 's',
      why:
        `${load.name}: least of sag (${best.sagRpm.toFixed(0)} rpm) and flare (${best.flareRpm.toFixed(0)} rpm) together; the air path lags by ` +
        `${part(most)} s: valve ${part(lag.valveS)}, manifold ${part(lag.manifoldS)}, charge to torque ${part(lag.delayS)}`,
      brief: `least sag and flare; lag ${part(most)} s`,
      provenBy: drill.drill.name,
      flag: best.stalled ? `${load.name}: the engine stalls with every lead tried` : null,
      tried: {
        heads: ['lead, s', 'sag, rpm', 'flare, rpm', 'both'],
        rows: tries.map((t) => [t.leadS.toFixed(2), t.sagRpm.toFixed(0), t.flareRpm.toFixed(0), t.stalled ? 'stalls' : t.cost.toFixed(2)]),
      },
    },
  };
}
