/** Where the published rules stand on the engines and drills of a tuning, and the spark rates that they may stand beside. */
import type { LinearIdle } from '../../linear/idle.js';
import { sparkLimitOf } from '../../linear/spark-limit.js';
import type { Scenario } from '../../scenario/index.js';
import type { Referee } from './referee.js';
import type { RateFrom, RuleStanding } from './result.js';
import { type RuleRow, typed } from './rule-rows.js';

/**
 * SIMC's proportional gain for the crank as an integrator of torque, dead as long as spark, sensing and hold take, °/rpm:
 * Kτ = 1/2 (S. Skogestad, J. Process Control 13 (2003) 291, τc = θ), where it turns unstable at π/2.
 */
export const simcRate = (bare: Scenario, idle: LinearIdle): number => typed(sparkLimitOf(idle, bare.controller).closedForm / Math.PI);

/** Spark rates to put beside the rules, each once. */
export function ratesBeside({ file, simc, tuned }: { readonly file: number; readonly simc: number | null; readonly tuned: number }): ReadonlyMap<RateFrom, number> {
  const rates = new Map<RateFrom, number>();
  const put = (from: RateFrom, rate: number | null): void => {
    if (rate !== null && ![...rates.values()].includes(rate)) rates.set(from, rate);
  };
  put('tuned', tuned);
  put('this file', file);
  put('SIMC', simc);
  return rates;
}

/** Every rule on every drill and corner, given up at the first limit that it breaks. */
export async function ruleStandings(
  referee: Referee, rows: readonly RuleRow[], asSet: (row: RuleRow) => readonly number[] | null, order: readonly number[], beside: Pick<RuleStanding, 'rate' | 'rateFrom'>,
): Promise<readonly RuleStanding[]> {
  const sets = rows.map(asSet);
  const judged = await referee.judge(sets.filter((set) => set !== null), { order, onlyHolding: true });
  let at = 0;
  return rows.map((row, i): RuleStanding => ({ row, ...beside, judged: sets[i] === null ? null : (judged[at++] ?? null) }));
}
