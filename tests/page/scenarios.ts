/** Shipped scenarios for the tests of the page. */
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { loadScenarioOrThrow } from '../../src/scenario/load.js';
import type { Scenario } from '../../src/scenario/table.js';

export const root = fileURLToPath(new URL('../../', import.meta.url));

export const read = (path: string): string => readFileSync(path, 'utf8');

/** All drills of a file below scenarios/. */
export const shipped = (name: string, set: readonly string[] = []): Promise<readonly Scenario[]> => loadScenarioOrThrow(join(root, 'scenarios', name), { read, set });

/** The first drill of it. */
export const first = async (name: string, set: readonly string[] = []): Promise<Scenario> => (await shipped(name, set))[0]!;
