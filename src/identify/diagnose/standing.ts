/**
 * Errors that last while the command stands still: at a limit, in a dead band, or because the loop is open. And commands that
 * creep: a loop that is too slow. And a loop that works while the car drives the engine.
 */
import { airText, atS, type Cause, type Finding, rpm } from './finding.js';
import { DRIVER, IDLE } from './phases.js';
import { extremesOf, meanOf } from './recording.js';
import { seenGains, slowCommand } from './gains.js';
import type { Subject } from './subject.js';

const LASTS_S = 3;
/** Movement of the command within which it stands still, as a share of what holds the idle; a half step of a stepper. */
const STILL = 0.012;
/** What an open loop leaves off target is more than this of a dead band's, rpm. */
const BAND_RPM = 130;
/** Movement of an integral for each rpm·s of error, over the holding command, below which it stands still. */
const NO_PACE = 7e-5;
/** A rest that lasts counts less than one that is large. */
const LESS = 0.7;
/** Shortest stretch to see it in, s. */
const PACE_S = 2.5;

const stillIn = ({ recording, holdAir }: Subject): number => (recording.airUnit === 'step' ? 0.5 : Math.max(0.05, STILL * holdAir));

interface Stand {
  readonly from: number;
  readonly to: number;
  readonly air: number;
  readonly errorRpm: number;
}

/** The longest part of rows `from` … `to` − 1 in which the mean over `span` rows stays beyond `least` on one side. */
function longestOff(error: Float64Array, from: number, to: number, span: number, least: number): Omit<Stand, 'air'> | null {
  let best: Omit<Stand, 'air'> | null = null;
  let [start, side] = [-1, 0];
  const end = (k: number): void => {
    if (start >= 0 && (best === null || k - start > best.to - best.from)) best = { from: start, to: k, errorRpm: meanOf(error, start, k) };
    start = -1;
  };
  for (let k = from; k + span <= to; k++) {
    const mean = meanOf(error, k, k + span);
    const now = Math.abs(mean) > least ? Math.sign(mean) : 0;
    if (now !== side) end(k + span - 1);
    if (now !== 0 && start < 0) start = k;
    side = now;
  }
  end(to);
  return best;
}

/** Stretches of idling between events in which the command stands still and the mean error is beyond the limit. */
function stands(subject: Subject): readonly Stand[] {
  const { recording, phases, rowsOf, limits, events } = subject;
  const { air, rows } = recording;
  if (air === null) return [];
  const most = stillIn(subject);
  const cuts = new Uint8Array(rows + 1);
  for (const { row } of events) cuts.fill(1, row, Math.min(rows, row + rowsOf(1)));
  const found: Stand[] = [];
  for (let from = 0; from < rows; ) {
    let [to, low, high] = [from, Infinity, -Infinity];
    for (; to < rows && phases.phase[to] === IDLE && cuts[to] === 0; to++) {
      const a = air[to] as number;
      if (Math.max(high, a) - Math.min(low, a) > most) break;
      [low, high] = [Math.min(low, a), Math.max(high, a)];
    }
    const off = longestOff(phases.error, from, to, rowsOf(LASTS_S), limits.offsetRpm);
    if (off !== null) found.push({ ...off, air: (low + high) / 2 });
    from = Math.max(to, from + 1);
  }
  return found;
}

/** Whether the command moves with the error anywhere while idling: more than its own steps for loads. */
function answers(subject: Subject): boolean {
  const { kp, ki } = seenGains(subject);
  const { holdAir } = subject;
  return kp * 50 > 0.004 * holdAir || ki * 50 > 0.004 * holdAir;
}

function standing(subject: Subject): readonly Finding[] {
  const { recording, limits, timeOf, phases } = subject;
  const { air, airUnit, airLimits, vehicleKmh } = recording;
  if (air === null) return [];
  const all = stands(subject);
  const ends = extremesOf(air.map((a, k) => (phases.phase[k] === IDLE ? a : Number.NaN)), 0, air.length);
  if (ends === null) return [];
  const near = stillIn(subject);
  const moves = answers(subject);
  const best = new Map<Cause, Finding>();
  for (const { from, to, air: at, errorRpm } of all) {
    const low = errorRpm < 0;
    const limit = airLimits === null ? (low ? ends.high : ends.low) : airLimits[low ? 1 : 0];
    const atEnd = Math.abs(at - limit) <= near && (airLimits !== null || moves);
    const rolls = vehicleKmh !== null && meanOf(vehicleKmh, from, to) > 3;
    // a loop that answers at other times rests in a dead band or creeps: `lasting` tells which
    if (!atEnd && moves && !rolls && Math.abs(errorRpm) < BAND_RPM) continue;
    const cause: Cause = atEnd ? (low ? 'clamp-high' : 'clamp-low') : 'entry-never';
    const size = Math.abs(errorRpm) / limits.offsetRpm;
    if ((best.get(cause)?.size ?? 0) >= size) continue;
    best.set(cause, {
      cause, load: null, fromS: timeOf(from), toS: timeOf(to - 1), size, confidence: atEnd ? 0.85 : 0.75,
      rivals: [cause === 'entry-never' ? 'dead-band-wide' : 'entry-never'],
      evidence: [
        `${rpm(Math.abs(errorRpm))} ${low ? 'below' : 'above'} target on average from ${atS(timeOf(from))} to ${atS(timeOf(to - 1))}`,
        `the command stands at ${airText(at, airUnit)} all the while${atEnd ? `, its ${low ? 'highest' : 'lowest'}` : moves ? '; it moves at other times' : ', and follows no error anywhere'}${rolls ? '; the car rolls' : ''}`,
      ],
    });
  }
  return [...best.values()];
}

/**
 * Errors that stay on one side of target while the command moves little: the integral's pace, its movement over the error's
 * area, tells a dead band (none at all) from a loop that is too slow (some).
 */
function lasting(subject: Subject): readonly Finding[] {
  const { recording: { air, airUnit, rows, periodS }, phases: { error, phase }, events, limits, rowsOf, timeOf, scatterRpm, holdAir } = subject;
  if (air === null) return [];
  const half = rowsOf(0.8);
  const best = new Map<Cause, Finding>();
  const busy = new Uint8Array(rows);
  for (const { row, kind } of events) if (kind !== 'unannounced') busy.fill(1, row, Math.min(rows, row + rowsOf(1.5)));
  // no window of a start: its own detector knows more
  for (const { row, to, kind } of events) if (kind === 'start' || kind === 'target') busy.fill(1, row, to);
  const smooth = (k: number): number => meanOf(error, k - half, k + half + 1);
  const sideOf = (k: number): number => (phase[k] === IDLE && busy[k] === 0 && Math.abs(smooth(k)) > 15 + 0.3 * scatterRpm ? Math.sign(smooth(k)) : 0);
  for (let from = 0; from < rows; from++) {
    const side = sideOf(from);
    if (side === 0) continue;
    let end = from;
    while (end < rows && sideOf(end) === side) end++;
    const begin = from;
    from = end;
    const lastsS = (end - begin) * periodS + (events.some(({ row }) => begin - row >= 0 && begin - row <= rowsOf(1.6)) ? 1.5 : 0);
    const mean = meanOf(error, begin, end);
    if (end - begin < rowsOf(LASTS_S) || Math.abs(mean) > BAND_RPM) continue;
    const slow = (k: number): number => meanOf(Float64Array.from({ length: 2 * half }, (_, i) => slowCommand(subject, Math.min(rows - 1, k - half + i))), 0, 2 * half);
    // its later part: in the first the error may have been larger
    const late = Math.max(begin + half, end - Math.max(rowsOf(PACE_S), Math.round((end - begin) * 0.45)));
    const moved = (slow(end - half) - slow(late)) * -side;
    const pace = moved / Math.max(1, Math.abs(meanOf(error, late, end)) * (end - half - late) * periodS) / holdAir;
    const cause: Cause = pace < NO_PACE ? 'dead-band-wide' : 'loop-sluggish';
    const size = cause === 'dead-band-wide' ? Math.max(Math.abs(mean) / limits.offsetRpm, LESS * (lastsS / limits.settlingS)) : lastsS / limits.settlingS;
    if (size < 1 || (best.get(cause)?.size ?? 0) >= size) continue;
    best.set(cause, {
      cause, load: null, fromS: timeOf(begin), toS: timeOf(end - 1), size, confidence: 0.75, rivals: [cause === 'loop-sluggish' ? 'dead-band-wide' : 'loop-sluggish'],
      evidence: [
        `the speed stays ${side < 0 ? 'below' : 'above'} target, by ${rpm(Math.abs(mean))} on average, for ${lastsS.toFixed(1)} s from ${atS(timeOf(begin))}`,
        cause === 'dead-band-wide' ? 'the integral does not move meanwhile' : `the integral creeps by ${airText(Math.max(0, moved), airUnit)} meanwhile`,
      ],
    });
  }
  return [...best.values()];
}

/** The command winds down while the wheels hold the speed up. */
function driving(subject: Subject): readonly Finding[] {
  const { recording: { air, airUnit, rows }, phases: { driven, phase, error }, rowsOf, timeOf, limits } = subject;
  if (air === null) return [];
  let worst: Finding | null = null;
  for (let from = 0; from < rows; from++) {
    if (driven[from] === 0 || phase[from] !== DRIVER) continue;
    let to = from;
    while (to < rows && driven[to] === 1) to++;
    const ends = extremesOf(air, from, to);
    const hold = Number.isFinite(subject.holdAir) ? subject.holdAir : (air[from] as number);
    if (to - from >= rowsOf(1) && ends !== null && ends.low < 0.85 * hold) {
      const after = extremesOf(error, to, Math.min(rows, to + rowsOf(6)));
      const sag = Math.max(0, -(after?.low ?? 0));
      worst = {
        cause: 'entry-driving', load: null, fromS: timeOf(from), toS: timeOf(to - 1), size: Math.max(1.5, sag / limits.undershootRpm), confidence: 0.9, rivals: ['return-wind-down'],
        evidence: [
          `the command falls from ${airText(air[from] as number, airUnit)} to ${airText(ends.low, airUnit)} between ${atS(timeOf(from))} and ${atS(timeOf(ends.lowRow))}, ${rpm(meanOf(error, from, to))} above target, the car driving`,
          ...(sag > 50 ? [`${rpm(sag)} below target once the clutch is in`] : []),
        ],
      };
    }
    from = to;
  }
  return worst === null ? [] : [worst];
}

export const findStanding = (subject: Subject): readonly Finding[] => [...standing(subject), ...lasting(subject), ...driving(subject)];
