/** The terminal: the only place that prints, and what is known of it. */
import pc from 'picocolors';

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
  const said = (text: string | undefined): number | undefined => (text !== undefined && /^\d+$/.test(text) ? Number(text) : undefined);
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

/** A reader that goes away (`| head`) ends the program quietly. */
export function endWithReader(): void {
  process.stdout.on('error', (error: NodeJS.ErrnoException) => {
    if (error.code === 'EPIPE') process.exit(0);
    throw error;
  });
}
