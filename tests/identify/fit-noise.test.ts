/** What the weights and the intervals of a fit stand on: the noise of a row, and the moments of quick throttle moves. */
import { describe, expect, it } from 'vitest';
import { holdOut } from '../../src/identify/fit/recording.js';
import { movesOf, withMoves } from '../../src/identify/fit/moves.js';
import { noiseOf, sigmaAt } from '../../src/identify/fit/noise.js';
import { createPredictor } from '../../src/identify/fit/predict.js';
import { student } from '../../src/identify/fit/told.js';
import { createRandom } from '../../src/numerics/random.js';
import { csvOf, driven, logOf, planned, planUntil, recordingOf } from './fit-logs.js';

const START = { steady: 1, readingS: 0.01, commandS: 0.01 };

describe('the noise of a row', () => {
  it('is told apart into what is there at rest, the age of a reading and the moment of a command', () => {
    const random = createRandom(5);
    const n = 20_000;
    const real = { steady: 0.3, readingS: 0.02, commandS: 0.008 };
    const age = Float64Array.from({ length: n }, (_, k) => (k % 5 === 0 ? 60 * random.uniform() : 0));
    const shift = Float64Array.from({ length: n }, (_, k) => (k % 7 === 0 ? 150 * random.uniform() : 0));
    const errors = Float64Array.from(age, (a, k) => sigmaAt(real, a, shift[k]!) * random.normal());
    const found = noiseOf(errors, { age, shift }, START, 0.01);
    for (const key of ['steady', 'readingS', 'commandS'] as const) expect(Math.abs(found[key] / real[key] - 1), key).toBeLessThan(0.05);
  });

  it('at rest is never below half a digit of the recorder', () => {
    const none = new Float64Array(100);
    expect(noiseOf(none, { age: none, shift: none }, START, 0.03).steady).toBeCloseTo(0.03, 12);
  });
});

it("Student's t comes to the printed one from ten degrees on", () => {
  // t of 97.5 %: M. Abramowitz and I. A. Stegun, Handbook of Mathematical Functions, 1964, table 26.10
  for (const [degrees, t] of [[10, 2.228], [20, 2.086], [30, 2.042], [60, 2.0]] as const) expect(Math.abs(student(degrees) - t), `${degrees}`).toBeLessThan(0.001);
});

describe('a blip', () => {
  const short = async () => {
    const scenario = await planned([], planUntil(32));
    const log = await logOf(csvOf(driven(scenario, 4), { seed: 4 }));
    return recordingOf(log, scenario);
  };

  it('has two quick moves, each in rows of its own, and none in a part without it', async () => {
    const { recording } = await short();
    const marked = withMoves(recording);
    expect(movesOf(marked)).toBe(2);
    const { moves, pedal } = marked.stretches[0]!;
    const opens = pedal.findIndex((v, k) => v === 0 && pedal[k + 1]! > 0);
    expect(moves![opens]).toBe(0);
    expect(moves![opens - 2]).toBe(-1);
    expect(movesOf(withMoves(holdOut(recording, 0.4).used))).toBe(0);
  });

  it('comes later by the moment of its move, and the longest step is near enough to the shortest', async () => {
    const { base, recording } = await short();
    const { stretches, periodS } = withMoves(recording);
    const stretch = stretches[0]!;
    const run = (moments: readonly number[], steps?: readonly number[]): Float64Array => {
      const [speed, pressure] = [new Float64Array(stretch.rows), new Float64Array(stretch.rows)];
      createPredictor(base, periodS, 0.09, steps).run(stretch, { lag: 1, delay: 0, late: 0, moments, speedGain: 0, pressureGain: 0 }, speed, pressure);
      return speed.map((v) => v * (30 / Math.PI));
    };
    const [plain, late, fine] = [run([]), run([0.025]), run([], [0.0005])];
    const opens = stretch.pedal.findIndex((v, k) => v === 0 && stretch.pedal[k + 1]! > 0);
    // at the steepest of the rise 25 ms are worth 25 ms of its slope; before it nothing is changed
    const at = plain.findIndex((v, k) => k > opens && v > 1700);
    const slope = (plain[at + 1]! - plain[at - 1]!) / (2 * periodS);
    expect((plain[at]! - late[at]!) / slope).toBeCloseTo(0.025, 2);
    expect(late[opens - 2]).toBe(plain[opens - 2]);
    const rms = Math.sqrt(plain.reduce((sum, v, k) => sum + (v - fine[k]!) ** 2, 0) / plain.length);
    expect(rms).toBeLessThan(0.5);
  });
});
