/** The command line: runs what was asked for, and shows what went wrong. */
import { CommanderError } from 'commander';
import { commands } from './commands.js';
import { BadInput, EXIT } from './failure.js';
import { createTerminal, endWithReader } from './terminal.js';

async function main(argv: readonly string[]): Promise<void> {
  endWithReader();
  try {
    await commands(createTerminal()).parseAsync(argv);
  } catch (error) {
    if (error instanceof CommanderError) process.exitCode = error.exitCode === 0 ? EXIT.ok : EXIT.badInput;
    else if (error instanceof BadInput) {
      createTerminal().err(error.lines);
      process.exitCode = EXIT.badInput;
    } else {
      // a bug of ours: say so plainly, and where, without burying the reader
      const at = error instanceof Error ? (error.stack ?? error.message) : String(error);
      createTerminal().err(process.env.TICKOVER_DEBUG === undefined ? `tickover: internal error: ${error instanceof Error ? error.message : at}\n(a fault of tickover, please report it; TICKOVER_DEBUG=1 shows where)` : at);
      process.exitCode = EXIT.internal;
    }
  }
}

await main(process.argv);
