/** `tickover page`: runs, sweeps and the live bench as one HTML file that asks the network for nothing. */
import { createHash } from 'node:crypto';
import { statSync } from 'node:fs';
import { cautionLine, plural } from '../report/index.js';
import type { PagePart } from '../report/page-html.js';
import type { PageSweep } from '../report/page-payload.js';
import { sheetPart } from '../report/page-sections.js';
import { sheetHtml } from '../report/sheet-html.js';
import { sheetOf } from '../report/sheet.js';
import type { Scenario } from '../scenario/index.js';
import { givenIn, setup } from '../setup/index.js';
import { BadInput, EXIT } from './failure.js';
import { checkWritable, load, type LoadedScenarios, STANDARD_OUTPUT, writeWhole } from './files.js';
import { pageText, tellRuns } from './page-parts.js';
import { frontOf, kindOfFile, sweepInJson, sweepInStore } from './page-sweep.js';
import { titleOf } from './run.js';
import { sentence, type Terminal } from './terminal.js';

export interface PageOptions {
  readonly set: readonly string[];
  readonly out: string;
  readonly sheet?: boolean;
  readonly front?: string;
}

interface Read {
  readonly file: string;
  readonly loaded: LoadedScenarios;
}

/** Refuses early what could not be written, and what is not this command's to write over. @throws BadInput */
export function checkPage(path: string, inputs: readonly string[]): void {
  if (path !== STANDARD_OUTPUT && !/\.html?$/i.test(path)) throw new BadInput([`--out  ${path}: a name that ends in .html is wanted`]);
  checkWritable(path, inputs);
}

/** @param version of this program   @returns the exit code */
export async function page(files: readonly string[], options: PageOptions, terminal: Terminal, version: string): Promise<number> {
  checkPage(options.out, files);
  const objectives = frontOf(options.front);
  const kinds = files.map((file) => ({ file, kind: kindOfFile(file) }));
  const read: Read[] = [];
  for (const { file, kind } of kinds) if (kind === 'other') read.push({ file, loaded: await load(file, options.set) });
  if (read.length === 0 && options.sheet === true) throw new BadInput(['--sheet: needs a scenario; these files are sweeps']);
  if (read.length === 0 && options.set.length > 0) throw new BadInput(['--set: needs a scenario; these files are sweeps']);
  const sweeps = kinds.flatMap(({ file, kind }): PageSweep[] => (kind === 'store' ? [sweepInStore(file, objectives)] : kind === 'json' ? [sweepInJson(file, objectives)] : []));
  if (options.front !== undefined && sweeps.length === 0) throw new BadInput(['--front: needs the store of a sweep among the files, or what sweep --json printed']);

  const named = read.flatMap(({ file, loaded: { scenarios } }) => scenarios.map((scenario) => ({ scenario, file, several: scenarios.length > 1 })));
  const { told, sections } = tellRuns(named);
  const more = options.sheet === true ? [sheetFor(read[0]!, terminal, version)] : [];
  const text = pageText({ title: titleFor(read, sweeps), opens: 'traces', told, sections, sweeps, more });
  writeWhole(options.out, [text]);
  if (options.out === STANDARD_OUTPUT) return EXIT.ok;
  const parts = [...(told.length === 0 ? [] : [plural(told.length, 'run')]), ...(sweeps.length === 0 ? [] : [plural(sweeps.length, 'sweep')]), ...(more.length === 0 ? [] : ['the sheet'])];
  terminal.out([...sentence(`${options.out}: ${parts.join(', ')}${told.length === 0 ? '' : ', the live bench'}; ${Math.ceil(statSync(options.out).size / 1024)} kB, nothing from the network.`, terminal), ...sentence(cautionLine(), terminal)]);
  return EXIT.ok;
}

function titleFor(read: readonly Read[], sweeps: readonly PageSweep[]): string {
  const titles = [...read.map(({ file, loaded }) => titleOf(loaded.scenarios[0] as Scenario, file, false)), ...sweeps.map(({ name }) => name)];
  return [...new Set(titles)].join(' · ');
}

const today = (): string => {
  const at = new Date();
  return `${at.getFullYear()}-${String(at.getMonth() + 1).padStart(2, '0')}-${String(at.getDate()).padStart(2, '0')}`;
};

/** The sheet of the first file's engine, computed as `setup` does. */
function sheetFor({ file, loaded: { scenarios, entries } }: Read, terminal: Terminal, version: string): PagePart {
  const result = setup(scenarios, {
    given: givenIn(entries),
    onStep: (name) => {
      if (terminal.progress) terminal.err(`… ${name}`);
    },
  });
  const { sheet } = scenarios[0] as Scenario;
  const inputHash = createHash('sha256').update(JSON.stringify(scenarios)).digest('hex').slice(0, 16);
  const made = sheetOf(result, {
    title: titleOf(scenarios[0] as Scenario, file, false), file, date: today(), inputHash, version, fahrenheit: sheet.temperatures === 'degF', gainScale: sheet.gainScale,
  });
  return sheetPart(sheetHtml(made));
}
