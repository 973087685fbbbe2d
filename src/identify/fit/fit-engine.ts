/**
 * The fit of an engine to a log.
 *
 *     one step     prediction errors with fitted gains: consistent in closed loop, intervals by the jackknife (predict.ts)
 *     white, or a free run of it near?    then that is the answer
 *     neither      the engine does something that the model does not: how well the fit says what happens next no longer says
 *                  how well it simulates (Ljung 1999, 8.5). The free run is fitted too, with laws that may bend, and of the
 *                  two the one whose free run is nearer to the part of the log that was fitted is kept
 *
 * Held out: the last quarter of the log, simulated by itself with its inputs alone.
 */
import { type Anchor, type Anchors, anchorsOf, efficiencyKnob, fillingKnob } from './anchor.js';
import { type Freedom, freedomsOf } from './freedom.js';
import { type HeldOut, heldOutOf } from './held-out.js';
import { type Fitted, type Knob, knobsOf, shapeKnobsOf, turned } from './knobs.js';
import { fitLeastSquares, type LeastSquaresFit } from './least-squares.js';
import { noiseOf } from './noise.js';
import { comparedOf, type Compared, type Noise, predictAll, problemOf, type ProblemOptions, type Timings, timingsOf } from './problem.js';
import { withMoves } from './moves.js';
import type { Reading } from './predict.js';
import { type FitRecording, holdOut, rangeOf, rowsOf } from './recording.js';
import { type Told, toldOf } from './told.js';
import { type Whiteness, whiteness } from '../whiteness.js';

export interface FitOptions {
  readonly anchor?: Anchor;
  /** Part of the log, at its end, that is not fitted; 0.25. */
  readonly heldOut?: number;
  /** Keys of parameters to hold at the file's values. */
  readonly hold?: readonly string[];
  readonly method?: 'one step' | 'free run' | 'either';
  /** Called as the fit goes on; false ends it with the best so far. */
  readonly onStep?: (said: string) => unknown;
}

export interface EngineFit {
  readonly fitted: Fitted;
  readonly base: Fitted;
  readonly knobs: readonly Knob[];
  readonly told: readonly Told[];
  readonly anchors: Anchors;
  /** What could not be told apart with the anchors free: the directions that they close. */
  readonly freedoms: readonly Freedom[];
  readonly method: 'one step' | 'free run';
  readonly converged: boolean;
  readonly ended: string;
  readonly reading: Reading;
  readonly noise: Noise;
  /** Of the one-step errors of speed over the fitted part, over their expected spread; null when there are too few. */
  readonly whiteness: Whiteness | null;
  /** Free run over the part that was fitted, and over the part that was not; null when nothing was held out. */
  readonly fittedPart: HeldOut;
  readonly heldOut: HeldOut | null;
  readonly least: LeastSquaresFit;
  readonly used: FitRecording;
  readonly held: FitRecording;
  readonly evaluations: number;
}

const RPM = Math.PI / 30;
/** Half a digit of ordinary recorders: 1 rpm, 0.1 kPa. */
const LEAST = { speed: 0.29 * RPM, pressure: 29 };
const FIRST: Noise = { speed: { steady: 5 * RPM, readingS: 0.01, commandS: 0.01 }, pressure: { steady: 500, readingS: 0.01, commandS: 0.01 } };
/** Rounds of fitting; after each the noise is worked out anew from the errors, and the weights from the noise. */
const ROUNDS = [{ reduction: 1e-3, jacobians: 12 }, { reduction: 1e-3, jacobians: 6 }, { reduction: 1e-5, jacobians: 12 }] as const;
/** Least range that says anything of a law of temperature, K, of the plate's size, of the spark's effect, rad. */
const WARMS_BY = 10;
const OPENED_BY = 0.02;
const SPARK_BY = (1.5 * Math.PI) / 180;

/** Parameters that nothing in the log moves, with why. */
function heldBy(recording: FitRecording, hold: readonly string[]): Map<string, string> {
  const held = new Map<string, string>(hold.map((key) => [key, 'held, as asked']));
  const put = (key: string, reason: string): void => {
    if (!held.has(key)) held.set(key, reason);
  };
  const [cold, warm] = rangeOf(recording, (s) => s.oil);
  if (warm - cold < WARMS_BY) put('engine.oil.exponent', recording.has.coolant ? `the log spans only ${(warm - cold).toFixed(0)} °C` : 'the coolant is not logged');
  const [late, early] = rangeOf(recording, (s) => s.spark);
  if (!recording.has.spark || early - late < SPARK_BY) put('engine.torque.sparkLoss', recording.has.spark ? 'the spark hardly moves' : 'the spark is not logged');
  const [, opened] = rangeOf(recording, (s) => s.pedal);
  for (const key of opened < OPENED_BY ? ['engine.throttle.bore', 'engine.throttle.closedAngle'] : []) put(key, recording.has.throttle ? 'the throttle is never opened' : 'the throttle is not logged');
  if (!recording.has.air) {
    for (const key of ['engine.manifold.volume', 'engine.throttle.leak.flow', 'engine.throttle.leak.area', 'valve.size.flow', 'valve.size.area', 'valve.lag', 'valve.opening', 'engine.throttle.bore', 'engine.throttle.closedAngle']) put(key, 'the command to the valve is not logged: the measured pressure drives the model');
  }
  recording.loadNames.forEach((name, i) => {
    const [off, on] = rangeOf(recording, (s) => s.loads[i]!);
    if (off === on) put(`load:${name}`, 'it is never switched');
  });
  return held;
}

function noiseFrom(compared: Compared, residuals: Float64Array, weights: Float64Array, timing: Timings, before: Noise): Noise {
  const n = compared.rows.length;
  const errors = residuals.map((r, j) => r / weights[j]!);
  return {
    speed: noiseOf(errors.subarray(0, n), timing.speed, before.speed, LEAST.speed),
    pressure: compared.pressure === null ? before.pressure : noiseOf(errors.subarray(n), timing.pressure, before.pressure, LEAST.pressure),
  };
}

interface Run {
  readonly knobs: readonly Knob[];
  readonly least: LeastSquaresFit;
  readonly noise: Noise;
  readonly reading: Reading;
  readonly evaluations: number;
}

function runRounds(options: Omit<ProblemOptions, 'noise' | 'timing' | 'start' | 'method'>, method: 'one step' | 'free run', first: ArrayLike<number> | null, onStep: FitOptions['onStep']): Run {
  let noise = FIRST;
  let timing: Timings | null = null;
  let start = first;
  let evaluations = 0;
  let answer: Run | null = null;
  for (const [i, round] of ROUNDS.entries()) {
    const { problem, readingOf } = problemOf({ ...options, noise, timing, start, method });
    const least = fitLeastSquares(problem, {
      differences: 'forward', reduction: round.reduction, evaluations: round.jacobians * (problem.parameters.length + 2), change: 1e-5, firstStep: 0.3, rank: 1e-9,
      onStep: (step) => onStep?.(`${method}, round ${i + 1}, step ${step.index + 1}: sum of squares ${step.sumOfSquares.toPrecision(4)}`),
    });
    evaluations += least.evaluations;
    const reading = readingOf(least.values);
    answer = { knobs: options.knobs, least, noise, reading, evaluations };
    start = least.values;
    timing = timingsOf(options.compared, turned(options.base, options.knobs, least.values), options.recording, reading, options.widest);
    noise = noiseFrom(options.compared, least.residuals, problem.weights!, timing, noise);
  }
  return answer!;
}

/**
 * Fits an engine to a recording.
 *
 * @throws RangeError when the anchor is none of the log's, or the engine cannot be run at its start
 */
export function fitEngine(recording: FitRecording, given: Fitted, options: FitOptions = {}): EngineFit {
  const { anchor = 'fuel energy', heldOut = 0.25, hold = [], method: asked = 'either', onStep } = options;
  const base: Fitted = { ...given, engine: { ...given.engine, roughnessPct: 0 } };
  const parts = holdOut(recording, heldOut);
  const [used, held] = [withMoves(parts.used), parts.held];
  const anchors = anchorsOf(anchor, base);
  const plain = [...knobsOf(base), ...anchors.more];
  const bent = [...plain, ...shapeKnobsOf(base)];
  const holding = heldBy(used, hold);
  const widest = rangeOf(recording, (s) => s.pedal)[1];
  const compared = comparedOf(used);
  const common = { recording: used, compared, base, held: new Set(holding.keys()), anchors, widest };

  const n = compared.rows.length;
  const freeRun = ({ knobs, least, reading }: Run, part: FitRecording): HeldOut => heldOutOf(part, predictAll(turned(base, knobs, least.values), part, { ...reading, speedGain: 0, pressureGain: 0 }, widest));
  let run: Run | null = null;
  let method: 'one step' | 'free run' = 'one step';
  let evaluations = 0;
  let white: Whiteness | null = null;
  if (asked !== 'free run') {
    run = runRounds({ ...common, knobs: plain }, 'one step', null, onStep);
    evaluations += run.evaluations;
    white = n > 60 ? whiteness(run.least.residuals.slice(0, n)) : null;
  }
  // a free run that stays this near says that the model is the engine, whatever the test of the errors finds
  const far = run === null || !(freeRun(run, used).allRpm < NEAR_RPM);
  if (asked === 'free run' || (asked === 'either' && far && white !== null && !white.white)) {
    const from = run === null ? null : [...run.least.values.subarray(0, plain.length), ...bent.slice(plain.length).map(() => 0), ...run.least.values.subarray(plain.length)];
    // one-step errors of another kind of engine may have led far astray: then the file's values are the better start
    for (const start of from === null ? [null] : [from, null]) {
      const other = runRounds({ ...common, knobs: bent }, 'free run', start, onStep);
      evaluations += other.evaluations;
      const reached = freeRun(other, used).allRpm;
      if (run === null || reached < (method === 'free run' ? 1 : FREE_RUN_WINS) * freeRun(run, used).allRpm) [run, method] = [other, 'free run'];
      if (reached < NEAR_RPM) break;
    }
  }
  const { knobs, least, noise, reading } = run!;
  const fitted = turned(base, knobs, least.values);
  return {
    fitted, base, knobs, anchors, method, reading, noise, least, used, held, evaluations, whiteness: white,
    converged: least.converged, ended: least.ended,
    told: toldOf(knobs, base, least, holding, anchors),
    freedoms: freedomsOf({ ...common, knobs: [...knobs, ...[efficiencyKnob, fillingKnob].filter(({ key }) => !knobs.some((k) => k.key === key))], anchors: { ...anchors, held: new Set() }, noise, timing: null, method, start: null }, least.values, knobs.length),
    fittedPart: freeRun(run!, used),
    heldOut: rowsOf(held) > 0 ? freeRun(run!, held) : null,
  };
}

/** The one-step fit is kept unless the free run's is nearer by this much: its intervals are the better founded. Assumed. */
const FREE_RUN_WINS = 0.8;
/** A free run this near over the whole of what was fitted leaves nothing to explain, rpm rms. Assumed: roughness alone makes 5 to 15. */
const NEAR_RPM = 15;
