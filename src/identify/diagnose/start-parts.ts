/**
 * The command after a start: does it fall by itself from the first moment on, as air after start does, or only once the loop
 * works on it?
 *
 * While the speed is far above target the loop is usually open, and waits for its entry: whatever falls then, fades by itself.
 * Nearer to target what the integral takes, K_i times the error's area, is set off. The rate of the early fall is held against
 * the fastest that comes later: air that fades does so evenly; a base that is too large stands until the loop closes on it.
 */
import { seenGains, slowCommand } from './gains.js';
import type { Subject } from './subject.js';

export interface CommandParts {
  /** Fall of the command from the catch to the end; below 0 it rose. Null without a command, or too short. */
  readonly fallen: number | null;
  /** Rate of the early fall over the fastest later one; null as well. */
  readonly evenness: number | null;
  /** Part of the fall that comes back: what an integral took away and had to give back. */
  readonly regained: number | null;
}

const LEAST_S = 4;
/** Far above target, rpm: beyond a usual entry window. */
const FAR_RPM = 200;
/** Above this the flare goes on, rpm; the early part lasts no longer than so many seconds. */
const FLARES_RPM = 100;
const EARLY_S = 4;

/** @param from, to rows from the catch to the end of the window */
export function partsOf(subject: Subject, from: number, to: number): CommandParts {
  const { recording: { air, periodS }, phases: { error }, rowsOf } = subject;
  if (air === null || to - from < rowsOf(LEAST_S)) return { fallen: null, evenness: null, regained: null };
  const { ki } = seenGains(subject);
  const mean = (k: number): number => {
    let [sum, n] = [0, 0];
    for (let i = Math.max(from, k); i < Math.min(to, k + rowsOf(0.4)); i++) [sum, n] = [sum + ((error[i] as number) < FAR_RPM ? slowCommand(subject, i) : (air[i] as number)), n + 1];
    return sum / n;
  };
  const taken = (a: number, b: number): number => {
    let sum = 0;
    for (let k = a; k < b; k++) if ((error[k] as number) < FAR_RPM) sum += (error[k] as number) * periodS;
    return ki * sum;
  };
  const begin = from + rowsOf(0.2);
  let early = begin + rowsOf(0.8);
  while (early < to && early - begin < rowsOf(EARLY_S) && (error[early] as number) > FLARES_RPM) early++;
  const rate = (mean(begin) - mean(early) - taken(begin, early)) / ((early - begin) * periodS);
  let [fastest, lowest] = [0, mean(begin)];
  for (let k = early; k + rowsOf(1.4) < to; k += rowsOf(0.5)) {
    fastest = Math.max(fastest, mean(k) - mean(k + rowsOf(1)));
    lowest = Math.min(lowest, mean(k));
  }
  const end = mean(to - rowsOf(1));
  const fall = mean(begin) - lowest;
  return { fallen: mean(begin) - end, evenness: rate / Math.max(fastest, rate, Number.MIN_VALUE), regained: fall > 0 ? (end - lowest) / fall : 0 };
}
