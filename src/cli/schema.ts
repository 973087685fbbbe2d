/** `tickover schema`: what scenario files may hold, for editors (JSON Schema) and for readers (a page of Markdown). */
import { referencePage, scenarioSchema } from '../scenario/index.js';
import { EXIT } from './failure.js';
import type { Terminal } from './terminal.js';

/** @returns the exit code */
export async function schema(options: { readonly reference?: boolean }, terminal: Terminal): Promise<number> {
  terminal.out(options.reference === true ? referencePage() : JSON.stringify(scenarioSchema(), null, 1));
  return EXIT.ok;
}
