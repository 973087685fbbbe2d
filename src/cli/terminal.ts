/** The terminal: the only place that prints, and what is known of it. */
import pc from 'picocolors';
import { clean, wrap } from '../report/text.js';
import { EXIT } from './failure.js';
import { reason } from './files.js';

export interface Terminal {
  /** Room for a page: lines and their width; and whether it may be coloured. */
  readonly layout: { readonly columns: number; readonly rows: number; readonly colour: boolean };
  /** Whether standard error is a terminal: progress is shown only there. */
  readonly progress: boolean;
  out(lines: string | readonly string[]): void;
  err(lines: string | readonly string[]): void;
}

const NARROWEST = 40;

/** `COLUMNS` and `LINES` count where the output is no terminal; 80 × 40 otherwise. */
export function createTerminal(): Terminal {
  const { stdout, stderr, env } = process;
  const said = (text: string | undefined): number | undefined => (text !== undefined && /^\d{1,6}$/.test(text) ? Number(text) : undefined);
  const print = (stream: NodeJS.WriteStream, lines: string | readonly string[]): void => {
    const text = typeof lines === 'string' ? lines : lines.join('\n');
    stream.write(`${text}\n`);
  };
  return {
    layout: {
      columns: Math.max(NARROWEST, stdout.columns ?? said(env.COLUMNS) ?? 80),
      rows: Math.max(24, (stdout.rows ?? said(env.LINES) ?? 42) - 2),
      colour: pc.isColorSupported && stdout.isTTY === true,
    },
    progress: stderr.isTTY === true,
    out: (lines) => print(stdout, lines),
    err: (lines) => print(stderr, lines),
  };
}

/** A sentence in as many lines as it takes, with nothing in it that a terminal would act on: titles are anyone's. */
export const sentence = (text: string, { layout }: Pick<Terminal, 'layout'>): readonly string[] => wrap(clean(text), layout.columns, 2);

/** A reader that goes away (`| head`) ends the program quietly; an output that cannot be written ends it with a word why. */
export function endWithReader(): void {
  for (const stream of [process.stdout, process.stderr]) {
    stream.on('error', (error: NodeJS.ErrnoException) => {
      if (error.code === 'EPIPE') process.exit(process.exitCode ?? 0);
      if (stream === process.stdout) process.stderr.write(`standard output: cannot be written: ${reason(error)}\n`);
      process.exit(EXIT.badInput);
    });
  }
}
