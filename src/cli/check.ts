/** `tickover check`: a scenario as it resolves, and where every value came from. */
import { plural } from '../report/numbers.js';
import { warningsOf } from '../scenario/index.js';
import { EXIT } from './failure.js';
import { load } from './files.js';
import { titleOf, warningLines } from './run.js';
import { settingsPage } from './settings-page.js';
import { sentence, type Terminal } from './terminal.js';

export interface CheckOptions {
  readonly set: readonly string[];
  readonly json?: boolean;
}

/** @returns the exit code */
export async function check(file: string, options: CheckOptions, terminal: Terminal): Promise<number> {
  const { scenarios, entries } = await load(file, options.set);
  if (options.json === true) {
    terminal.out(JSON.stringify({ file, scenarios: scenarios.map((scenario, i) => ({ scenario: titleOf(scenario, file, scenarios.length > 1), settings: entries[i], warnings: warningsOf(scenario) })) }, null, 1));
    return EXIT.ok;
  }
  for (const [i, scenario] of scenarios.entries()) {
    const rows = entries[i]!;
    const said = rows.filter(({ origin }) => !origin.startsWith('default')).length;
    terminal.out([
      ...(i > 0 ? [''] : []),
      ...sentence(titleOf(scenario, file, scenarios.length > 1), terminal),
      '',
      ...settingsPage(rows, terminal.layout.columns),
      '',
      `Valid: ${plural(said, 'setting')} given, ${rows.length - said} by default.`,
      ...warningLines(scenario).flatMap((line) => sentence(line, terminal)),
    ]);
  }
  return EXIT.ok;
}
