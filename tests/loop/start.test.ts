import { describe, expect, test } from 'vitest';
import { simulate } from '../../src/loop/simulate.js';
import { readSuite } from '../search/suite.js';

const warmest = async (text: string) => {
  const [scenario] = await readSuite(text);
  return simulate(scenario!);
};

describe('a run that does not start settled', () => {
  const drill = 'run: { duration: 6 }\ndrill: { start: { settled: no } }';

  test('stays where it is when the base table is right, whatever the derivative gain', async () => {
    for (const kd of [0, 0.02]) {
      const { columns, rows } = await warmest(`${drill}\ncontroller: { base: [[80, 22]], pid: { kd: ${kd} } }`);
      expect(columns.openingPct[0]).toBeGreaterThan(10);
      for (let k = 0; k < rows; k++) expect(Math.abs(columns.speedRpm[k]! - 800)).toBeLessThan(10);
    }
  });

  test('shows a base table that is wrong', async () => {
    const { columns, rows } = await warmest(`${drill}\ncontroller: { base: [[80, 16]] }`);
    expect(Math.min(...columns.speedRpm.subarray(0, rows))).toBeLessThan(740);
  });
});

test('the end of an earlier pulse does not end what was asked for since', async () => {
  const [scenario] = await readSuite(`
run: { duration: 8 }
drill: { events: [
  { do: supply, at: 1, voltage: 12, hold: 3 }, { do: supply, at: 2, voltage: 11 },
  { do: load, name: fan, at: 2, torque: 2, hold: 3 }, { do: load, name: fan, at: 2.5, torque: 3 } ] }`);
  const { columns, rows } = simulate(scenario!);
  expect(columns.loadNm[rows - 1]).toBeCloseTo(3, 9);
  const steady = await warmest('run: { duration: 8 }\ndrill: { events: [{ do: supply, at: 2, voltage: 11 }, { do: load, name: fan, at: 2, torque: 3 }] }');
  expect(columns.air[rows - 1]!).toBeCloseTo(steady.columns.air[steady.rows - 1]!, 0);
});
