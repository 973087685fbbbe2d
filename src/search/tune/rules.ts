/** Every rule on a scenario's engine as described: gains, margins, and what its drills make of them. */
import { type IdleMargins, idleMargins, linearIdleOf } from '../../linear/idle.js';
import { type Scenario, withValues } from '../../scenario/index.js';
import { evaluate, type Outcome } from '../evaluate.js';
import { createPlants } from '../plants.js';
import { type ProcessSeen, processSeen } from './process.js';
import { type RuleRow, ruleRows } from './rule-rows.js';
import { withGains } from './sensitivity.js';
import { GAIN_KEYS } from './space.js';
import { idleScenario } from './tune.js';

export interface RuleTried {
  readonly row: RuleRow;
  /** Null where the rule does not apply. */
  readonly margins: IdleMargins | null;
  readonly outcome: Outcome | null;
}

export interface RulesResult {
  readonly seen: ProcessSeen;
  /** The file's own gains first, then the rules. */
  readonly tried: readonly RuleTried[];
  readonly drills: readonly string[];
}

/**
 * @param onRow called before each row is run
 * @throws RangeError where the engine has no idle
 */
export function rulesOf(scenarios: readonly Scenario[], onRow: (name: string) => void = () => undefined): RulesResult {
  const idle = idleScenario(scenarios);
  const linear = linearIdleOf(idle);
  onRow('relay experiment');
  const seen = processSeen(idle, linear, true);
  const { kp, ki, kd } = idle.controller.pid;
  const own: RuleRow = { name: 'this file', from: 'itself', gains: { kp, ki, kd }, reason: null };
  const plants = createPlants();
  const tried = [own, ...ruleRows(seen)].map((row): RuleTried => {
    onRow(row.name);
    if (row.gains === null) return { row, margins: null, outcome: null };
    const values = new Map([[GAIN_KEYS.kp, row.gains.kp], [GAIN_KEYS.ki, row.gains.ki], [GAIN_KEYS.kd, row.gains.kd]]);
    try {
      const { controller } = withValues(idle, values);
      return { row, margins: idleMargins(withGains(linear, controller)), outcome: evaluate(scenarios, values, plants) };
    } catch (error) {
      if (!(error instanceof RangeError)) throw error;
      return { row: { ...row, gains: null, reason: error.message }, margins: null, outcome: null };
    }
  });
  return { seen, tried, drills: scenarios.map(({ drill }) => drill.name) };
}
