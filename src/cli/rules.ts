/** `tickover rules`: what the published tuning rules make of an idle, side by side. */
import { cautionLine } from '../report/index.js';
import { processTables, relayLine, rulesTable, rulesWords } from '../report/rules.js';
import type { Scenario } from '../scenario/index.js';
import { valveRange } from '../scenario/table.js';
import { type RulesResult, rulesOf } from '../search/tune/rules.js';
import { BadInput, EXIT } from './failure.js';
import { load } from './files.js';
import { gainScaleOf } from './gain-scale.js';
import { marginsSummary } from './tune-json.js';
import { titleOf } from './run.js';
import { sentence, type Terminal } from './terminal.js';

export interface RulesCommand {
  readonly set: readonly string[];
  readonly gainScale?: string;
  readonly json?: boolean;
}

/** @returns the exit code: 0 also for rules that stall the engine, since that was asked */
export async function rules(file: string, options: RulesCommand, terminal: Terminal): Promise<number> {
  const { scenarios } = await load(file, options.set);
  const scenario = scenarios[0] as Scenario;
  const scale = gainScaleOf(scenario, options.gainScale);
  let result: RulesResult;
  try {
    if (scenario.controller.hold !== null) throw new RangeError('controller.hold: the air command is held, so there is no loop to tune');
    result = rulesOf(scenarios, (name) => {
      if (terminal.progress) terminal.err(`… ${name}`);
    });
  } catch (error) {
    if (!(error instanceof RangeError)) throw error;
    throw new BadInput([`${file}  ${error.message}`, 'nothing was worked out']);
  }
  const unit = scenario.engine.model === 'regression' ? '%' : valveRange(scenario.valve).unit;
  const title = titleOf(scenario, file, false);
  if (options.json === true) {
    const { seen, tried, drills } = result;
    terminal.out(JSON.stringify({
      file, scenario: title, airUnit: unit, drills, process: seen, gainScale: scale,
      rules: tried.map(({ row, margins, outcome }) => ({ ...row, margins: margins === null ? null : marginsSummary(margins), outcome })),
    }, null, 1));
    return EXIT.ok;
  }
  const words = (lines: readonly string[]): readonly string[] => lines.flatMap((text) => sentence(text, terminal));
  terminal.out([
    ...words([title, 'The plant as the air loop sees it: valve, manifold, crank, both delays, sensor and hold.']), '',
    ...processTables(result.seen, unit, terminal.layout), '',
    ...(result.seen.relay === null ? [] : [...words(relayLine(result.seen, unit)), '']),
    ...rulesTable(result, unit, scale, terminal.layout), '',
    ...words(rulesWords(result)), ...words([cautionLine()]),
  ]);
  return EXIT.ok;
}
