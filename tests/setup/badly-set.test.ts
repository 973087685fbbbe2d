/** The shipped four that is badly set: what its settings fail, and what computed ones pass. */
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, test } from 'vitest';
import { loadScenario } from '../../src/scenario/index.js';
import { withController } from '../../src/setup/apply.js';
import { givenIn, setup } from '../../src/setup/index.js';
import { createRunner } from '../../src/setup/prove.js';

const SCENARIOS = fileURLToPath(new URL('../../scenarios/', import.meta.url));
const LONG = 300_000;
/** Minutes of simulated time, which every step of setup would run again: proven at the end, once. */
const SLOW = 'warm-up to hot';

describe.each(['badly-set.yaml', 'badly-set-stepper.yaml'])('%s', (file) => {
  test('fails at least eight drills, and passes all, hot and cold, with the settings computed', { timeout: LONG }, async () => {
    const { scenarios, entries } = await loadScenario(join(SCENARIOS, file), { read: (path) => readFileSync(path, 'utf8') });
    const quick = scenarios!.filter(({ drill }) => drill.name !== SLOW);
    const slow = scenarios!.find(({ drill }) => drill.name === SLOW)!;
    expect(quick).toHaveLength(27);
    const { drills, scenario, corners } = setup(quick, { given: givenIn(entries!) });
    expect(drills.filter(({ before, standard }) => !before.passes && !standard).length).toBeGreaterThanOrEqual(8);
    expect(drills.filter(({ after }) => !after.passes).map(({ name, after }) => `${name}: ${after.verdict}`)).toEqual([]);
    expect(corners.filter(({ stalls }) => stalls.length > 0)).toEqual([]);

    const runner = createRunner();
    expect(runner.run(slow).result.passes).toBe(false);
    const { result } = runner.run(withController(slow, scenario.controller));
    expect([result.verdict, result.passes]).toEqual([result.verdict, true]);
  });
});
