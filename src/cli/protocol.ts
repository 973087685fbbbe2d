/** `tickover protocol`: a safe plan for recording an engine. */
import { planFor } from '../identify/protocol/index.js';
import { cautionLine } from '../report/index.js';
import { protocolPage, protocolSheet } from '../report/protocol-text.js';
import { sheetMarkdown } from '../report/sheet-markdown.js';
import { BadInput, EXIT } from './failure.js';
import { checkWritable, load, STANDARD_OUTPUT, writeWhole } from './files.js';
import { sentence, type Terminal } from './terminal.js';

export interface ProtocolOptions {
  readonly set: readonly string[];
  readonly out?: string;
  readonly json?: boolean;
}

/** @returns the exit code */
export async function protocol(file: string, options: ProtocolOptions, terminal: Terminal): Promise<number> {
  const { out } = options;
  if (out === STANDARD_OUTPUT) throw new BadInput(['--out: the name of a file is wanted']);
  if (out !== undefined && !/\.md$/i.test(out)) throw new BadInput([`--out ${out}: a name that ends in .md is wanted`]);
  const { scenarios } = await load(file, options.set);
  const scenario = scenarios[0]!;
  if (out !== undefined) checkWritable(out, [file]);
  let plan: ReturnType<typeof planFor>;
  try {
    plan = planFor(scenario);
  } catch (error) {
    if (error instanceof RangeError) throw new BadInput([`${file}: no plan can be made: ${error.message}`]);
    throw error;
  }
  const title = `Recording plan: ${scenario.title === '' ? file : scenario.title}`;
  if (out !== undefined) writeWhole(out, [`${sheetMarkdown(protocolSheet(plan, title)).join('\n')}\n`]);
  if (options.json === true) terminal.out(JSON.stringify({ file, ...plan }, null, 1));
  else {
    terminal.out([
      ...sentence(title, terminal), '', ...protocolPage(plan, terminal.layout), '',
      ...(out === undefined ? [] : sentence(`Plan written to ${out}`, terminal)), ...sentence(cautionLine(), terminal),
    ]);
  }
  return EXIT.ok;
}
