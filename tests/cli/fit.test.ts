/** `tickover fit` and `tickover replay` as a user starts them: bad input ends with exit code 2, a message and no stack trace. */
import { mkdtempSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { fit } from '../../src/cli/fit.js';
import { replay } from '../../src/cli/replay.js';
import { BadInput } from '../../src/cli/failure.js';
import { idle, table } from '../identify/logs.js';

const folder = mkdtempSync(join(tmpdir(), 'fit-'));
const file = (name: string, text: string | Uint8Array): string => {
  writeFileSync(join(folder, name), text);
  return join(folder, name);
};
const engine = file('engine.yaml', 'inertia: 0.15 kg m^2\n');
const log = file('log.csv', table('Time [s],Engine speed [rpm],MAP [kPa],fan', 400, (k) => [(k / 20).toFixed(2), idle(k / 20).rpm, idle(k / 20).kpa.toFixed(1), k > 200 && k < 300 ? 1 : 0]));
const printed: string[] = [];
const terminal = { layout: { columns: 80, rows: 40, colour: false }, progress: false, out: (l: string | readonly string[]) => void printed.push(...[l].flat()), err: () => undefined };
const given = { set: [], engine, anchor: 'fuel', heldOut: 25 };

describe('what is wrong is said, and nothing is fitted', () => {
  it.each([
    ['a log that is not there', [join(folder, 'none.csv')], {}, /there is no such file/],
    ['an empty log', [file('empty.csv', '')], {}, /is empty/],
    ['binary rubbish', [file('rubbish.csv', Uint8Array.from({ length: 5000 }, (_, k) => (k * 197) % 256))], {}, /./],
    ['a column that is not there', [log], { map: ['speed=Sped'] }, /no column is called/],
    ['an anchor that is no load of the log', [log], { anchor: 'load:pump' }, /no load pump is in the log/],
    ['an anchor that is nothing', [log], { anchor: 'air' }, /fuel, or load:NAME, is wanted/],
    ['a part held out that leaves nothing', [log], { heldOut: 95 }, /0 to 80 %/],
    ['a file that fit did not write', [log], { out: engine }, /is there already, and fit did not write it/],
  ])('%s', async (_, files, more, said) => {
    const failure = await fit(files, { ...given, ...more }, terminal).then(() => null, (error: unknown) => error);
    expect(failure).toBeInstanceOf(BadInput);
    expect((failure as Error).message).toMatch(said);
  });
});

it('a replay puts the measured speed beside the simulated one and ends with the caution', async () => {
  printed.length = 0;
  expect([0, 1]).toContain(await replay(log, { set: [], engine, map: ['load:fan=fan'] }, terminal));
  expect(printed.join('\n')).toMatch(/measured/);
  expect(printed.join('\n')).toMatch(/no load called fan/);
  expect(printed.at(-1)).toBe('Simulated beside a recording. Outdoors or extracted, wheels chocked, brake on.');
  expect(Math.max(...printed.map((line) => line.length))).toBeLessThanOrEqual(80);
});
