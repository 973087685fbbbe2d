/** `tickover why`: what one setting does. */
import { runObject } from '../report/export.js';
import { cautionLine, compareTable, formatNumber, overlayCharts, wrap } from '../report/index.js';
import { whatDoes } from '../setup/why.js';
import { BadInput, EXIT } from './failure.js';
import { load } from './files.js';
import { titleOf } from './run.js';
import type { Terminal } from './terminal.js';

export interface WhyOptions {
  readonly set: readonly string[];
  readonly knob: string;
  readonly lower?: number;
  readonly higher?: number;
  readonly json?: boolean;
}

/** @returns the exit code: 0 whatever the runs do, since stalling may be what was asked about */
export async function why(file: string, options: WhyOptions, terminal: Terminal): Promise<number> {
  const { scenarios } = await load(file, options.set);
  const answers = scenarios.map((scenario) => {
    try {
      return { scenario, answer: whatDoes(scenario, options.knob, options) };
    } catch (error) {
      if (error instanceof RangeError) throw new BadInput([`--knob  ${error.message}`, 'nothing was run']);
      throw error;
    }
  });
  if (options.json === true) {
    terminal.out(JSON.stringify({
      knob: options.knob,
      drills: answers.map(({ scenario, answer }) => ({
        scenario: titleOf(scenario, file, scenarios.length > 1),
        unit: answer.key.unit,
        lower: answer.lower,
        higher: answer.higher,
        runs: answer.runs.map(({ name, value, trace, scored }) => ({ value, ...runObject({ title: name, file, trace, scored, stepCost: null, withTrace: false }) })),
      })),
    }, null, 1));
    return EXIT.ok;
  }
  const { layout } = terminal;
  for (const { scenario, answer } of answers) {
    const unit = answer.key.unit === '' ? '' : ` ${answer.key.unit}`;
    const named = answer.runs.map((run) => ({ ...run, name: `${formatNumber(run.value)}${unit}` }));
    terminal.out([
      ...wrap(titleOf(scenario, file, scenarios.length > 1), layout.columns, 2),
      ...overlayCharts([named[1]!, named[0]!, named[2]!], layout),
      '',
      ...compareTable([named[1]!, named[0]!, named[2]!], { columns: layout.columns, colour: layout.colour }),
      '',
      `${answer.key.path}, ${answer.runs.map((run) => formatNumber(run.value)).join(' · ')}${unit}`,
      ...wrap(answer.lower, layout.columns, 2),
      ...wrap(answer.higher, layout.columns, 2),
      '',
    ]);
  }
  terminal.out(cautionLine());
  return EXIT.ok;
}
