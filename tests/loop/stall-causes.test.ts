/** What is said of a stall. */
import { expect, test } from 'vitest';
import type { Command } from '../../src/controller/types.js';
import { createRecorder } from '../../src/loop/recorder.js';
import { explainStall } from '../../src/loop/stall.js';
import type { PlantOutputs } from '../../src/plant/types.js';

const outputs = { plate: 0, opening: 0.3, clutch: 0, load: 0, indicated: 0 } as PlantOutputs;
const command = { air: 30, airFraction: 0.3, loopClosed: true } as Command;

/** Ten rows a second up to a stall at 3 s; fuel by time. */
function explained(fuelKgh: (timeS: number) => number): string {
  const recorder = createRecorder(31);
  const { columns } = recorder;
  for (let k = 0; k <= 30; k++) {
    columns.timeS[k] = k / 10;
    columns.fuelKgh[k] = fuelKgh(k / 10);
    columns.airGs[k] = 2;
    columns.speedRpm[k] = 1200 - 30 * k;
  }
  recorder.rows = 31;
  return explainStall(outputs, command, 0, 100, recorder);
}

test('a cut that lasts, and one that ended too late for its torque, are named; the charge is not blamed for them', () => {
  expect(explained((t) => (t < 1 ? 0.5 : 0))).toBe('stalled: the fuel was cut');
  expect(explained((t) => (t < 1 || t > 2.55 ? 0.5 : 0))).toBe('stalled: the fuel had been cut until 0.5 s before');
});

test('a cut long over is no cause, and a plant that knows no fuel never had one', () => {
  const other = 'stalled: the charge was too small to burn';
  expect(explained((t) => (t < 0.5 || t > 1.5 ? 0.5 : 0))).toBe(other);
  expect(explained(() => 0)).toBe(other);
  expect(explained(() => 0.5)).toBe(other);
  expect(explained((t) => (t < 3 ? 0.5 : 0))).toBe(other); // the row of the stall itself
});
