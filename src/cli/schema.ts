/** `tickover schema`: the JSON Schema of scenario files. */
import { scenarioSchema } from '../scenario/index.js';
import { EXIT } from './failure.js';
import type { Terminal } from './terminal.js';

/** @returns the exit code */
export async function schema(terminal: Terminal): Promise<number> {
  terminal.out(JSON.stringify(scenarioSchema(), null, 1));
  return EXIT.ok;
}
