/**
 * What one setting does: the same drill with it lower, as it is, and higher, told in words, so that a learner sees the
 * direction of each knob.
 */
import { simulate } from '../loop/simulate.js';
import type { Trace } from '../loop/trace.js';
import { nearestName } from '../scenario/problem.js';
import { type NumericKey, numericKeys, type Scenario, withValues } from '../scenario/index.js';
import { type Scored, scoreTrace } from '../score/index.js';

export interface KnobRun {
  /** `lower`, `as it is` or `higher`. */
  readonly name: string;
  /** In the unit of the knob. */
  readonly value: number;
  readonly trace: Trace;
  readonly scored: Scored;
}

export interface KnobAnswer {
  readonly key: NumericKey & { readonly value: number };
  readonly runs: readonly [KnobRun, KnobRun, KnobRun];
  /** What lower and higher do, a sentence each. */
  readonly lower: string;
  readonly higher: string;
}

/** Differences too small to speak of. */
const LEAST = { speedRpm: 3, timeS: 0.1, hangS: 0.3, huntingRpm: 3 };
/** Speed above target from which an engine hangs, rpm: twice what counts as settled. */
const HANGS_RPM = 50;

/**
 * A value below and one above: half and twice; for a knob at zero, or in degrees that may be negative, a tenth of its range
 * either way. Within its range always.
 *
 * @throws RangeError when the knob cannot be moved both ways
 */
export function either(key: NumericKey & { readonly value: number }): readonly [number, number] {
  const { value, min, max, integer } = key;
  const span = (max - min) / 10;
  const [low, high] = value > 0 && min >= 0 ? [value / 2, value * 2] : [value - span, value + span];
  const tidy = (x: number): number => Number((integer ? Math.round(x) : x).toPrecision(6));
  const within = (x: number): number => Math.min(max, Math.max(min, x));
  return [tidy(within(low)), tidy(within(high))];
}

/** The key, with a value. @throws RangeError naming the nearest key, or saying what to give */
function knobOf(scenario: Scenario, path: string): NumericKey & { readonly value: number } {
  const keys = numericKeys(scenario);
  const key = keys.find((each) => each.path === path);
  if (key === undefined) {
    const near = nearestName(path, keys.map((each) => each.path));
    throw new RangeError(`${path}: no numeric key of this scenario${near === null ? '' : `; did you mean ${near}?`}`);
  }
  if (key.value === null) throw new RangeError(`${path}: not given in this scenario; give it a value first (--set ${path}=…)`);
  return { ...key, value: key.value };
}

/** Longest time for which the speed stays above target with the throttle shut, s: swings have many short ones. */
function hangsS({ columns, rows, recordS }: Trace): number {
  let [count, longest] = [0, 0];
  for (let k = 0; k < rows; k++) {
    count = columns.throttlePct[k]! < 0.5 && columns.speedRpm[k]! > columns.targetRpm[k]! + HANGS_RPM ? count + 1 : 0;
    if (count > longest) longest = count;
  }
  return longest * recordS;
}

/** What changed from one run to the other, in plain words. */
function tell({ scored: from, trace: fromTrace }: KnobRun, { scored: to, trace: toTrace, name }: KnobRun): string {
  if (to.stalled && !from.stalled) return `${name}: the engine stalls`;
  if (!to.stalled && from.stalled) return `${name}: the engine no longer stalls`;
  const parts: string[] = [];
  const speak = (change: number | null, least: number, more: string, less: string, unit: string, digits: number): void => {
    if (change === null || Math.abs(change) < least) return;
    parts.push(`${change > 0 ? more : less} by ${Math.abs(change).toFixed(digits)} ${unit}`);
  };
  const change = (metric: 'sagRpm' | 'flareRpm' | 'settlingTimeS' | 'huntingRpm'): number | null => {
    const [a, b] = [from.metrics[metric], to.metrics[metric]];
    return a === null || b === null ? null : b - a;
  };
  speak(change('sagRpm'), LEAST.speedRpm, 'sags deeper', 'sags less', 'rpm', 0);
  speak(change('flareRpm'), LEAST.speedRpm, 'flares higher', 'flares less', 'rpm', 0);
  speak(hangsS(toTrace) - hangsS(fromTrace), LEAST.hangS, 'hangs above target longer', 'hangs above target less', 's', 1);
  const [settled, settles] = [from.metrics.settlingTimeS, to.metrics.settlingTimeS];
  if (settled !== null && settles === null) parts.push('does not settle any more');
  else if (settled === null && settles !== null) parts.push(`settles now, in ${settles.toFixed(1)} s`);
  else speak(change('settlingTimeS'), LEAST.timeS, 'settles later', 'settles sooner', 's', 1);
  const [hunted, hunts] = [from.metrics.huntingRpm ?? 0, to.metrics.huntingRpm ?? 0];
  if (hunts > hunted + LEAST.huntingRpm) parts.push(`hunts by ${hunts.toFixed(0)} rpm${to.metrics.huntingHz === null ? '' : ` at ${to.metrics.huntingHz.toFixed(1)} Hz`}`);
  else if (hunted > hunts + LEAST.huntingRpm) parts.push(hunts === 0 ? 'no longer hunts' : `hunts less, by ${hunts.toFixed(0)} rpm`);
  return `${name}: ${parts.length === 0 ? 'no difference worth speaking of' : parts.join(', ')}`;
}

/**
 * Runs a scenario with one knob lower, as it is and higher.
 *
 * @param values lower and higher in the knob's unit, where half and twice are not what is wanted
 * @throws RangeError when the key is unknown or without a value, or a value is out of its range
 */
export function whatDoes(scenario: Scenario, path: string, values: { readonly lower?: number | undefined; readonly higher?: number | undefined } = {}): KnobAnswer {
  const key = knobOf(scenario, path);
  const [below, above] = either(key);
  const lower = values.lower ?? below;
  const higher = values.higher ?? above;
  if (!(lower < key.value && key.value < higher)) {
    throw new RangeError(`${path}: lower ${lower} and higher ${higher} must lie either side of ${key.value}; say which with --lower and --higher`);
  }
  const run = (name: string, value: number): KnobRun => {
    const changed = value === key.value ? scenario : withValues(scenario, new Map([[path, value]]));
    const trace = simulate(changed);
    return { name, value, trace, scored: scoreTrace(trace, changed.limits, changed.scoring) };
  };
  const runs = [run('lower', lower), run('as it is', key.value), run('higher', higher)] as const;
  return { key, runs, lower: tell(runs[1], runs[0]), higher: tell(runs[1], runs[2]) };
}
