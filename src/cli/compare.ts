/** `tickover compare`: the same drills under several settings. */
import { cautionLine, compareTable, overlayCharts } from '../report/index.js';
import { runObject } from '../report/export.js';
import { runPicture } from '../report/svg/run-picture.js';
import { BadInput, EXIT } from './failure.js';
import { load } from './files.js';
import { checkPicture, isPictureAlone, writePicture } from './picture.js';
import { pictured, runScenario, titleOf, warningLines } from './run.js';
import { sentence, type Terminal } from './terminal.js';

export interface CompareOptions {
  readonly set: readonly string[];
  readonly json?: boolean;
  readonly svg?: string;
}

/** @returns the exit code */
export async function compare(files: readonly string[], options: CompareOptions, terminal: Terminal): Promise<number> {
  checkPicture(options, files);
  const loaded = await Promise.all(files.map((file) => load(file, options.set)));
  const runs = loaded.flatMap(({ scenarios }, i) =>
    scenarios.map((scenario) => ({ ...runScenario(scenario), file: files[i]!, name: titleOf(scenario, files[i]!, scenarios.length > 1) })),
  );
  if (runs.length < 2) throw new BadInput(['compare: needs two scenarios or more', `given: ${files.join(' ')}`]);
  const { layout } = terminal;
  writePicture(options, () => drillsOf(runs).map((group) => runPicture(group[0]!.scenario.drill.name, group.map((each) => pictured(each, each.name)))));
  if (isPictureAlone(options)) {
    // nothing else goes there
  } else if (options.json === true) {
    terminal.out(JSON.stringify({ runs: runs.map(({ name, file, trace, scored }) => runObject({ title: name, file, trace, scored, stepCost: null, withTrace: false })) }, null, 1));
  } else {
    for (const pair of drillsOf(runs)) {
      terminal.out([
        ...overlayCharts(pair, layout),
        '',
        ...compareTable(pair, { columns: layout.columns, colour: layout.colour }),
        '',
        ...pair.flatMap(({ name, scenario, scored }) => [scored.verdict, ...warningLines(scenario)].flatMap((line) => sentence(`${name}: ${line}`, terminal))),
        '',
      ]);
    }
    terminal.out(sentence(cautionLine(), terminal));
  }
  return runs.some(({ scored }) => scored.missed.length > 0 || scored.stalled) ? EXIT.missed : EXIT.ok;
}

type Run = ReturnType<typeof runScenario> & { readonly file: string; readonly name: string };

/** Runs of the same drill stay together; where no two share one, all are laid over each other. */
function drillsOf(runs: readonly Run[]): readonly (readonly Run[])[] {
  const names = [...new Set(runs.map(({ scenario }) => scenario.drill.name))];
  const groups = names.map((name) => runs.filter(({ scenario }) => scenario.drill.name === name));
  return groups.every((group) => group.length > 1) ? groups : [runs];
}
