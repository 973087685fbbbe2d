/**
 * How often a channel was truly read, where a log repeats the last reading in between.
 *
 * A value that stands because it is held and one that stands because it does not move look the same. It is taken for held
 * when rows come at least two and a half times as often as values change, and the changes keep time: at most one in twenty
 * comes within 0.6 of the period, the 20th percentile of the times between changes. Thresholds are ours.
 */
import { at } from './plausible.js';

const LEAST_CHANGES = 8;
/** A shorter period than this, s, is a slow value that is rounded, or of no matter. */
const LEAST_PERIOD = 0.3;
const OFTENER = 2.5;
const EARLY = 0.6;

/** Steps from each time to the next, rising. */
function stepsOf(timeS: Float64Array): Float64Array {
  const steps = new Float64Array(Math.max(0, timeS.length - 1));
  for (let k = 0; k < steps.length; k++) steps[k] = (timeS[k + 1] as number) - (timeS[k] as number);
  return steps.sort();
}

/** Middle step between readings, s; NaN for fewer than two. */
export function periodOf(timeS: Float64Array): number {
  return at(stepsOf(timeS), 0.5);
}

/** Period of true readings, s; null where every row is one, or it cannot be told. */
export function refreshOf(timeS: Float64Array, values: Float64Array): number | null {
  const changes = timeS.filter((_, k) => k > 0 && values[k] !== values[k - 1]);
  if (changes.length < LEAST_CHANGES) return null;
  const steps = stepsOf(changes);
  const period = at(steps, 0.2);
  const early = steps.filter((s) => s < EARLY * period).length;
  // half of the changes at least must be one period apart: a slow value changes at no particular time
  const onTime = steps.filter((s) => s < 1.4 * period).length;
  return period >= LEAST_PERIOD && period >= OFTENER * periodOf(timeS) && early <= steps.length / 20 && onTime >= steps.length / 2 ? period : null;
}

/**
 * The readings of a held channel: rows where the value changes, and, before a change that comes later than a period and a
 * half after the last, the row one period before it, at which the old value was read once more.
 */
export function trueReadings(timeS: Float64Array, values: Float64Array, refreshS: number): { readonly timeS: Float64Array; readonly values: Float64Array } {
  const kept: number[] = [];
  let last = -Infinity;
  for (let k = 0; k < timeS.length; k++) {
    if (k > 0 && values[k] === values[k - 1] && k < timeS.length - 1) continue;
    const t = timeS[k] as number;
    if (t - last > 1.5 * refreshS && k > 0) {
      let before = k - 1;
      while (before > 0 && t - (timeS[before] as number) < refreshS * 0.99) before--;
      if ((kept.at(-1) ?? -1) < before) kept.push(before);
    }
    kept.push(k);
    last = t;
  }
  return { timeS: Float64Array.from(kept, (k) => timeS[k] as number), values: Float64Array.from(kept, (k) => values[k] as number) };
}
