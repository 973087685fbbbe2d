import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeAll, describe, expect, test } from 'vitest';
import { build, BUILD_MS, expectWithin, scratch, tickover } from './tickover.js';

const { path: folder } = scratch();

beforeAll(build, BUILD_MS);

describe('tickover protocol', () => {
  test('prints the plan within 80 columns and writes it as Markdown', async () => {
    const out = join(folder, 'plan.md');
    const said = await tickover(['protocol', 'scenarios/solenoid.yaml', '--out', out]);
    expect(said.code).toBe(0);
    expectWithin(said.out, 80);
    expect(said.out).toMatch(/Stop if {2}the speed falls below \d+ rpm/);
    expect(said.out.trimEnd().split('\n').at(-1)).toMatch(/wheels chocked/);
    expect(readFileSync(out, 'utf8')).toMatch(/^# Recording plan/);
  });

  test('writes nothing where it cannot, or where the scenario is wrong', async () => {
    const out = join(folder, 'plan.txt');
    expect((await tickover(['protocol', 'scenarios/solenoid.yaml', '--out', out])).code).toBe(2);
    expect((await tickover(['protocol', 'scenarios/solenoid.yaml', '--out', join(folder, 'no', 'plan.md')])).code).toBe(2);
    const wrong = join(folder, 'wrong.md');
    const said = await tickover(['protocol', 'scenarios/solenoid.yaml', '--set', 'engine.inertia=-1', '--out', wrong]);
    expect(said.code).toBe(2);
    expect(existsSync(wrong)).toBe(false);
  });
});
