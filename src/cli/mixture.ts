/** `tickover mixture`: what fuel can do for an idle, beside air. */
import { cautionLine } from '../report/index.js';
import { mixturePage } from '../report/mixture-text.js';
import { LAMBDA_RANGE, mixture as mixtureOf } from '../setup/mixture.js';
import { BadInput, EXIT } from './failure.js';
import { load } from './files.js';
import { titleOf } from './run.js';
import { sentence, type Terminal } from './terminal.js';

export interface MixtureOptions {
  readonly set: readonly string[];
  readonly lambda?: string;
  readonly json?: boolean;
}

/** @throws BadInput when it is not two numbers */
function rangeOf(text: string | undefined): readonly [number, number] {
  if (text === undefined) return LAMBDA_RANGE;
  const parts = text.split(':').map((part) => (part.trim() === '' ? Number.NaN : Number(part)));
  const [low, high] = parts;
  if (parts.length !== 2 || !Number.isFinite(low) || !Number.isFinite(high)) {
    throw new BadInput([`--lambda  ${text}: write the lowest and the highest lambda, such as ${LAMBDA_RANGE.join(':')}`, 'nothing was run']);
  }
  return [low!, high!];
}

/** @returns the exit code */
export async function mixture(file: string, options: MixtureOptions, terminal: Terminal): Promise<number> {
  const range = rangeOf(options.lambda);
  const { scenarios } = await load(file, options.set);
  let answer: ReturnType<typeof mixtureOf>;
  try {
    answer = mixtureOf(scenarios, range);
  } catch (error) {
    if (error instanceof RangeError) throw new BadInput([`--lambda  ${error.message}`, 'nothing was run']);
    throw error;
  }
  const title = titleOf(scenarios[0]!, file, false);
  if (options.json === true) {
    terminal.out(JSON.stringify({ scenario: title, file, ...answer }, null, 1));
    return EXIT.ok;
  }
  terminal.out([...sentence(title, terminal), ...mixturePage(answer, terminal.layout), cautionLine()]);
  return EXIT.ok;
}
