/** `tickover setup`: the settings of the whole idle, computed and proven; a controller file and a sheet to type in. */
import { createHash } from 'node:crypto';
import { controllerFile } from '../report/controller-file.js';
import { cautionLine } from '../report/index.js';
import { setupPage, setupVerdict } from '../report/setup-text.js';
import { sheetHtml } from '../report/sheet-html.js';
import { sheetMarkdown } from '../report/sheet-markdown.js';
import { valveRange } from '../scenario/table.js';
import { sheetOf } from '../report/sheet.js';
import { givenIn, setup as computeSetup, type SetupResult } from '../setup/index.js';
import { BadInput, EXIT } from './failure.js';
import { checkOwnFile, checkWritable, load, writeWhole } from './files.js';
import { sentence, type Terminal } from './terminal.js';

export interface SetupCommandOptions {
  readonly set: readonly string[];
  readonly out?: string;
  readonly sheet?: string;
  readonly fahrenheit?: boolean;
  readonly gainScale?: string;
  readonly json?: boolean;
}

/** First line of a controller file of ours: only such a file is written over. */
const HEAD = 'Settings computed by tickover setup';

function checkSheet(path: string, input: string): 'md' | 'html' {
  const [, kind] = /\.(md|html)$/i.exec(path) ?? [];
  if (kind === undefined) throw new BadInput([`--sheet  ${path}: a name that ends in .md or .html is wanted`]);
  checkWritable(path, [input]);
  return kind.toLowerCase() as 'md' | 'html';
}

type GainScale = Partial<Record<'kp' | 'ki' | 'kd', number>>;

/** `kp=1,ki=100` as numbers. */
export function readGainScale(text: string | undefined): GainScale {
  const scale: GainScale = {};
  if (text === undefined) return scale;
  for (const part of text.split(',')) {
    const [, key, value] = /^\s*(kp|ki|kd)\s*=\s*(\S+)\s*$/.exec(part) ?? [];
    const number = Number(value);
    if (key === undefined || !Number.isFinite(number) || number <= 0) {
      throw new BadInput([`--gain-scale  ${part.trim() || text}: write kp=…,ki=…,kd=… with what one of our unit is in your controller's numbers, above 0`]);
    }
    if (scale[key as 'kp'] !== undefined) throw new BadInput([`--gain-scale  ${key}: given twice`]);
    scale[key as 'kp'] = number;
  }
  return scale;
}

const today = (): string => {
  const at = new Date();
  return `${at.getFullYear()}-${String(at.getMonth() + 1).padStart(2, '0')}-${String(at.getDate()).padStart(2, '0')}`;
};

/** @returns the exit code */
export async function setup(file: string, options: SetupCommandOptions, terminal: Terminal, version: string): Promise<number> {
  const gainScale = readGainScale(options.gainScale);
  if (options.sheet === undefined && (options.fahrenheit === true || options.gainScale !== undefined)) {
    throw new BadInput(['--fahrenheit and --gain-scale are for the sheet; give --sheet FILE']);
  }
  const loaded = await load(file, options.set);
  if (options.out !== undefined) checkOwnFile(options.out, file, HEAD, 'setup');
  const kind = options.sheet === undefined ? null : checkSheet(options.sheet, file);
  const { scenarios } = loaded;
  const title = scenarios[0]!.title === '' ? file : scenarios[0]!.title;
  const inputHash = createHash('sha256').update(JSON.stringify(scenarios)).digest('hex').slice(0, 16);

  const result = computeSetup(scenarios, {
    given: givenIn(loaded.entries),
    onStep: (name) => {
      if (terminal.progress) terminal.err(`… ${name}`);
    },
  });
  const { unit } = valveRange(result.scenario.valve);
  if (options.out !== undefined) {
    const head = [`${HEAD} from ${file} (input ${inputHash}).`, `${title}: ${setupVerdict(result)}.`];
    writeWhole(options.out, [`${controllerFile(result.scenario.controller, unit, head).join('\n')}\n`]);
  }
  if (options.sheet !== undefined) {
    const { sheet: asked } = scenarios[0]!; // the command line has the last word
    const sheet = sheetOf(result, { title, file, date: today(), inputHash, version, fahrenheit: options.fahrenheit === true || asked.temperatures === 'degF', gainScale: { ...asked.gainScale, ...gainScale } });
    writeWhole(options.sheet, [`${(kind === 'html' ? sheetHtml(sheet) : sheetMarkdown(sheet)).join('\n')}\n`]);
  }
  if (options.json === true) terminal.out(JSON.stringify(setupObject(result, title, file, inputHash), null, 1));
  else {
    terminal.out([
      ...sentence(title, terminal), '',
      ...setupPage(result, terminal.layout), '',
      ...sentence(`${setupVerdict(result)}.`, terminal),
      ...(options.out === undefined ? [] : sentence(`Settings written to ${options.out}; a scenario takes them by  controller: {from: ${options.out}}`, terminal)),
      ...(options.sheet === undefined ? [] : sentence(`Sheet written to ${options.sheet}`, terminal)),
      ...sentence(cautionLine(), terminal),
    ]);
  }
  return result.ok ? EXIT.ok : EXIT.missed;
}

/** The whole result as plain data. */
const setupObject = (result: SetupResult, title: string, file: string, inputHash: string) => ({
  title, file, inputHash, ok: result.ok, verdict: setupVerdict(result),
  settings: result.settings,
  controller: result.scenario.controller,
  drills: result.drills.map(({ name, standard, before, after }) => ({
    name, standard,
    before: { score: before.score, passes: before.passes, verdict: before.verdict },
    after: { score: after.score, passes: after.passes, verdict: after.verdict, metrics: after.scored.metrics },
  })),
  corners: result.corners,
});
