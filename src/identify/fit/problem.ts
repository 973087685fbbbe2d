/** A recording and an engine as a least-squares problem: one residual a row and output, one parameter a knob. */
import type { Anchors } from './anchor.js';
import { type Fitted, type Knob, turned } from './knobs.js';
import { movesOf } from './moves.js';
import type { FitParameter, LeastSquaresProblem } from './least-squares.js';
import { type NoiseModel, sigmaAt, type Timing } from './noise.js';
import { createPredictor, type Reading } from './predict.js';
import { type FitRecording, rowsOf } from './recording.js';

/** Rows at the start of a stretch that settle first, s: what the charge and the plenum held before is not known. */
const SETTLE_S = 1.5;
/** Residuals of this many seconds are taken to hang together, at the most. */
const BLOCK_S = 2;
/** Step of the difference quotients: far above the kinks of tables and delay lines, far below what matters. */
const STEP = 1e-4;

export interface Noise {
  readonly speed: NoiseModel;
  readonly pressure: NoiseModel;
}

/** Predictions over all stretches, one after the other; `from` is where each stretch begins. */
export interface Predicted {
  readonly speed: Float64Array;
  readonly pressure: Float64Array;
}

/** What is compared: rows after the settling, in order. */
export interface Compared {
  readonly rows: Int32Array;
  /** Stretch of each of these rows, and block. */
  readonly blocks: Int32Array;
  readonly speed: Float64Array;
  readonly pressure: Float64Array | null;
}

const joined = (parts: readonly Float64Array[]): Float64Array => {
  const all = new Float64Array(parts.reduce((sum, p) => sum + p.length, 0));
  let at = 0;
  for (const part of parts) {
    all.set(part, at);
    at += part.length;
  }
  return all;
};

export function comparedOf(recording: FitRecording, settleS = SETTLE_S): Compared {
  const { stretches, periodS, has } = recording;
  const settle = Math.ceil(settleS / periodS);
  const perBlock = Math.max(1, Math.round(BLOCK_S / periodS));
  const rows: number[] = [];
  const blocks: number[] = [];
  let [before, block] = [0, 0];
  for (const stretch of stretches) {
    for (let k = settle; k < stretch.rows; k++) {
      rows.push(before + k);
      blocks.push(block + Math.floor((k - settle) / perBlock));
    }
    before += stretch.rows;
    block = (blocks.at(-1) ?? -1) + 1;
  }
  // where the measured pressure drives the model there is nothing of it to compare
  const pressures = has.pressure && has.air;
  return {
    rows: Int32Array.from(rows), blocks: Int32Array.from(blocks),
    speed: joined(stretches.map((s) => s.speed)),
    pressure: pressures ? joined(stretches.map((s) => s.pressure!)) : null,
  };
}

/** Runs an engine over a recording. */
export function predictAll(fitted: Fitted, recording: FitRecording, reading: Reading, widest: number): Predicted {
  const rows = rowsOf(recording);
  const out = { speed: new Float64Array(rows).fill(Number.NaN), pressure: new Float64Array(rows).fill(Number.NaN) };
  const predictor = createPredictor(fitted, recording.periodS, widest);
  let at = 0;
  for (const stretch of recording.stretches) {
    predictor.run(stretch, reading, out.speed.subarray(at, at + stretch.rows), out.pressure.subarray(at, at + stretch.rows));
    at += stretch.rows;
  }
  return out;
}

export interface Timings {
  readonly speed: Timing;
  readonly pressure: Timing;
}

/** Half the shift of the difference quotients of time, s: less than a row. */
const SHIFT_S = 0.005;

/** What the moments of readings and of commands matter to each row that is compared. */
export function timingsOf({ rows, pressure }: Compared, fitted: Fitted, recording: FitRecording, reading: Reading, widest: number): Timings {
  const slope = (by: (s: number) => Reading): Predicted => {
    const [late, early] = [predictAll(fitted, recording, by(SHIFT_S), widest), predictAll(fitted, recording, by(-SHIFT_S), widest)];
    const quotient = (a: Float64Array, b: Float64Array): Float64Array => Float64Array.from(rows, (row) => (a[row]! - b[row]!) / (2 * SHIFT_S));
    return { speed: quotient(late.speed, early.speed), pressure: quotient(late.pressure, early.pressure) };
  };
  const shift = slope((s) => ({ ...reading, shift: s }));
  const age = slope((s) => ({ ...reading, delay: reading.delay + s }));
  // pressure is read now: its rate is what its age would do
  const predicted = pressure === null ? null : predictAll(fitted, recording, reading, widest).pressure;
  const rate = Float64Array.from(rows, (row) => (predicted === null || row === 0 ? 0 : (predicted[row]! - predicted[row - 1]!) / recording.periodS));
  return { speed: { age: age.speed, shift: shift.speed }, pressure: { age: rate, shift: shift.pressure } };
}

/** Parameters of the recording, behind those of the engine. */
export const READING = ['age of the speed reading', 'delay of the recorder', 'lateness of the commands', 'speed gain', 'pressure gain'] as const;
/** A command is read up to a controller's period before it changes: half a period is 5 to 10 ms. Common practice, no source. */
const LATE_S = 0.006;

/** What a recorder takes to log a speed: some milliseconds. Assumed. */
const DELAY_S = 0.01;

export interface FitProblem {
  readonly problem: LeastSquaresProblem;
  readonly readingOf: (values: ArrayLike<number>) => Reading;
}

export interface ProblemOptions {
  readonly recording: FitRecording;
  readonly compared: Compared;
  readonly base: Fitted;
  readonly knobs: readonly Knob[];
  /** Knobs that are held, by key. */
  readonly held: ReadonlySet<string>;
  readonly anchors: Anchors;
  readonly noise: Noise;
  /** Null: the noise at rest throughout. */
  readonly timing: Timings | null;
  readonly widest: number;
  /** 'one step': the gains are fitted; 'free run': they are 0. */
  readonly method: 'one step' | 'free run';
  readonly start: ArrayLike<number> | null;
}

export function problemOf({ recording, compared, base, knobs, held, anchors, noise, timing, widest, method, start }: ProblemOptions): FitProblem {
  const { rows, blocks, speed, pressure } = compared;
  const n = rows.length;
  const count = pressure === null ? n : 2 * n;
  const free = method === 'free run';
  const withPressure = pressure !== null;
  const moments = Array.from({ length: movesOf(recording) }, (_, i) => i);
  const at = (i: number, otherwise: number): number => start?.[i] ?? otherwise;
  const parameters: FitParameter[] = [
    ...knobs.map((knob, i): FitParameter => ({
      name: knob.key, start: Math.min(knob.max, Math.max(knob.min, at(i, 0))), min: knob.min, max: knob.max,
      fixed: held.has(knob.key) || anchors.held.has(knob.key), prior: { mean: 0, sd: knob.sd }, typical: knob.sd, step: STEP * (knob.kind === 'scale' ? 1 : knob.sd),
    })),
    { name: READING[0], start: at(knobs.length, 0.5), min: 0, max: 3, prior: { mean: 0.5, sd: 0.5 }, typical: 0.5, step: STEP },
    { name: READING[1], start: at(knobs.length + 1, 0.005), min: -2 * DELAY_S, max: 10 * DELAY_S, prior: { mean: 0.5 * DELAY_S, sd: DELAY_S }, typical: DELAY_S, step: STEP * DELAY_S * 10 },
    { name: READING[2], start: at(knobs.length + 2, 0), min: -5 * LATE_S, max: 5 * LATE_S, prior: { mean: 0, sd: LATE_S }, typical: LATE_S, step: STEP * LATE_S * 10 },
    { name: READING[3], start: free ? 0 : Math.max(0.02, at(knobs.length + 3, 0.5)), min: 0, max: 1, fixed: free, typical: 0.5, step: STEP },
    { name: READING[4], start: free || !withPressure ? 0 : Math.max(0.02, at(knobs.length + 4, 0.3)), min: 0, max: 1, fixed: free || !withPressure, typical: 0.5, step: STEP },
    // anywhere between two rows alike
    ...moments.map((i): FitParameter => {
      const sd = recording.periodS / Math.sqrt(12);
      return { name: `moment of throttle move ${i + 1}`, start: at(knobs.length + READING.length + i, 0), min: -recording.periodS, max: recording.periodS, prior: { mean: 0, sd }, typical: sd, step: STEP * LATE_S * 10 };
    }),
  ];
  const weights = new Float64Array(count);
  for (let j = 0; j < n; j++) {
    weights[j] = 1 / sigmaAt(noise.speed, timing === null ? 0 : timing.speed.age[j]!, timing === null ? 0 : timing.speed.shift[j]!);
    if (pressure !== null) weights[n + j] = 1 / sigmaAt(noise.pressure, timing === null ? 0 : timing.pressure.age[j]!, timing === null ? 0 : timing.pressure.shift[j]!);
  }
  const readingOf = (values: ArrayLike<number>): Reading => ({
    lag: values[knobs.length]!, delay: values[knobs.length + 1]!, late: values[knobs.length + 2]!, speedGain: values[knobs.length + 3]!, pressureGain: values[knobs.length + 4]!,
    moments: moments.map((_, i) => values[knobs.length + READING.length + i]!),
  });
  return {
    readingOf,
    problem: {
      parameters, count, weights,
      blocks: pressure === null ? blocks : Int32Array.from({ length: count }, (_, j) => blocks[j % n]!),
      residuals(values, out) {
        let predicted: Predicted;
        try {
          predicted = predictAll(turned(base, knobs, values), recording, readingOf(values), widest);
        } catch (error) {
          if (!(error instanceof RangeError)) throw error;
          out.fill(Number.NaN); // settings that contradict each other, or flow too much for any step
          return;
        }
        for (let j = 0; j < n; j++) {
          const row = rows[j]!;
          out[j] = predicted.speed[row]! - speed[row]!;
          if (pressure !== null) out[n + j] = predicted.pressure[row]! - pressure[row]!;
        }
      },
    },
  };
}
