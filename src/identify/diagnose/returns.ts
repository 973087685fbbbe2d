/**
 * Coming back to idle: from a free-rev, or as the clutch goes in after coasting.
 *
 * On a good return the command never falls below what holds the idle before the speed has arrived. A loop that closes too
 * early sees a large error and winds the air down meanwhile; too little air otherwise lets the speed fall through target; too
 * much lets it hang.
 */
import { airText, atS, type Cause, type Finding, rpm } from './finding.js';
import type { LogEvent } from './events.js';
import { extremesOf, meanOf } from './recording.js';
import type { Subject } from './subject.js';
import { RETURNING } from './phases.js';

/** Below the holding command by this share of it before the speed arrives: wound down. */
const WOUND = 0.12;
/** Seconds after arrival in which a sag is the return's. */
const SAG_S = 3;
/** A speed that comes down by less than this in a second hangs, rpm. */
const HANG_RPM = 60;

interface Return {
  readonly event: LogEvent;
  readonly arrival: number;
  readonly sagRpm: number;
  readonly sagRow: number;
  /** Longest time above target without coming down, s, where it ends, and what the command did in it. */
  readonly hangS: number;
  readonly hangEnd: number;
  /** Lowest command before arrival, and what holds the idle. */
  readonly lowestAir: number;
  readonly hold: number;
  readonly closedAtRpm: number;
}

function holdAfter(subject: Subject, event: LogEvent, arrival: number): number {
  const { recording: { air }, phases: { error }, rowsOf } = subject;
  if (air === null) return Number.NaN;
  const tail = Math.max(arrival + rowsOf(3), event.to - rowsOf(2));
  if (event.to - tail >= rowsOf(0.5) && Math.abs(meanOf(error, tail, event.to)) < 30) return meanOf(air, tail, event.to);
  return subject.holdAir;
}

function returnOf(subject: Subject, event: LogEvent): Return {
  const { recording, phases: { phase, error, targetRpm }, rowsOf } = subject;
  const { air, speedRpm } = recording;
  let arrival = event.row;
  while (arrival < event.to && phase[arrival] === RETURNING) arrival++;
  const sag = extremesOf(error, arrival, Math.min(event.to, arrival + rowsOf(SAG_S)));
  const hold = holdAfter(subject, event, arrival);
  const second = rowsOf(1);
  const smooth = (k: number): number => meanOf(speedRpm, Math.max(event.row, k - rowsOf(0.2)), k + rowsOf(0.2) + 1);
  let [hang, run, hangEnd] = [0, 0, event.row];
  for (let k = event.row + second; k < arrival; k++) {
    run = smooth(k - second) - smooth(k) < HANG_RPM ? run + 1 : 0;
    if (run > hang) [hang, hangEnd] = [run, k];
  }
  const low = air === null ? null : extremesOf(air, event.row, Math.min(event.to, arrival + 1));
  let closed = event.row;
  if (air !== null) while (closed < arrival && (air[closed] as number) > 0.98 * Math.min(hold, air[event.row] as number)) closed++;
  return {
    event, arrival, hold, sagRpm: Math.max(0, -(sag?.low ?? 0)), sagRow: sag?.lowRow ?? arrival, hangS: (hang > 0 ? hang + second : 0) * recording.periodS, hangEnd,
    lowestAir: low?.low ?? Number.NaN,
    closedAtRpm: (speedRpm[Math.min(closed, recording.rows - 1)] as number) - (targetRpm[Math.min(closed, recording.rows - 1)] as number),
  };
}

function sagging(subject: Subject, returns: readonly Return[]): Finding | null {
  const { recording, limits, timeOf } = subject;
  const worst = returns.reduce<Return | null>((most, each) => (most === null || each.sagRpm > most.sagRpm ? each : most), null);
  if (worst === null) return null;
  const stall = recording.stalled && worst.event.to === recording.rows;
  if (worst.sagRpm < limits.undershootRpm && !stall) return null;
  const { event, sagRpm, sagRow, lowestAir, hold, closedAtRpm } = worst;
  const wound = lowestAir < hold * (1 - WOUND) && closedAtRpm > 100;
  const what = event.kind === 'clutch in' ? 'after the clutch goes in' : 'after the throttle shuts';
  const unit = recording.airUnit;
  return {
    cause: wound ? 'return-wind-down' : 'return-air-small', load: null, fromS: timeOf(event.row), toS: timeOf(sagRow), size: Math.max(sagRpm / limits.undershootRpm, stall ? 3 : 1),
    confidence: Number.isNaN(lowestAir) ? 0.4 : 0.85, rivals: [wound ? 'return-air-small' : 'return-wind-down'],
    evidence: [
      `${stall ? 'the engine stalls' : `${rpm(sagRpm)} below target at ${atS(timeOf(sagRow))}`}, ${what} at ${atS(timeOf(event.row))}`,
      ...(Number.isNaN(lowestAir) ? ['the air command is not recorded'] : wound
        ? [`the command has fallen to ${airText(lowestAir, unit)} before the speed arrives; ${airText(hold, unit)} holds the idle; it begins to fall ${rpm(closedAtRpm)} above target`]
        : [`the command is not below ${airText(lowestAir, unit)} on the way down; ${airText(hold, unit)} holds the idle`]),
    ],
  };
}

function hanging(subject: Subject, returns: readonly Return[]): Finding | null {
  const { recording: { air, airUnit, periodS }, limits, timeOf, holdAir } = subject;
  const worst = returns.reduce<Return | null>((most, each) => (most === null || each.hangS > most.hangS ? each : most), null);
  if (worst === null || worst.hangS < limits.hangS) return null;
  const from = worst.hangEnd - Math.round(worst.hangS / periodS);
  const [start, end] = air === null ? [Number.NaN, Number.NaN] : [air[Math.max(from, worst.event.row)] as number, air[worst.hangEnd] as number];
  const still = Math.abs(end - start) < 0.02 * holdAir;
  const cause: Cause = still ? 'entry-never' : 'return-hang';
  return {
    cause, load: null, fromS: timeOf(from), toS: timeOf(worst.hangEnd), size: worst.hangS / limits.hangS, confidence: Number.isNaN(start) ? 0.4 : 0.8,
    rivals: [still ? 'return-hang' : 'entry-never'],
    evidence: [
      `the speed hangs above target for ${worst.hangS.toFixed(1)} s from ${atS(timeOf(from))}`,
      ...(Number.isNaN(start) ? [] : [still ? `the command stands at ${airText(end, airUnit)} meanwhile` : `the command comes from ${airText(start, airUnit)} to ${airText(end, airUnit)} meanwhile`]),
    ],
  };
}

/** Returns that sag, and returns that hang. */
export function findReturns(subject: Subject): readonly Finding[] {
  const returns = subject.events.filter(({ kind }) => kind === 'return' || kind === 'clutch in').map((event) => returnOf(subject, event));
  return [sagging(subject, returns), hanging(subject, returns)].filter((found) => found !== null);
}
