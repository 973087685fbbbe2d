/**
 * Loads that come and go: is what the controller adds at once what the loop holds once settled, and does it come in time?
 *
 *     added   step of the command as the load is asked for, less what a proportional gain makes of the speed by then
 *     needed  settled command under the load less that before it
 *     added well below needed: too small · well above: too large · alike, and a sag: too late · alike, and a flare: too early
 */
import { airText, atS, type Cause, type Finding, rpm } from './finding.js';
import type { LogEvent } from './events.js';
import { slowCommand } from './gains.js';
import { IDLE } from './phases.js';
import { extremesOf, meanOf } from './recording.js';
import { roughnessPeak, type Subject } from './subject.js';

/** Added over needed, between which it is right. */
const [SMALL, LARGE] = [0.76, 1.3];
const SETTLED_RPM = 25;

export interface LoadStep {
  readonly event: LogEvent;
  /** Below target and above it in its window, rpm, and where. */
  readonly sagRpm: number;
  readonly flareRpm: number;
  readonly sagRow: number;
  readonly flareRow: number;
  /** Step of the command at once, and once settled; NaN where it cannot be told. */
  readonly added: number;
  readonly needed: number;
}

/** The window of a load, no longer than ten seconds. */
export function loadStep(subject: Subject, event: LogEvent): LoadStep | null {
  const { recording, phases, rowsOf, scatterRpm } = subject;
  const { error, phase } = phases;
  const to = Math.min(event.to, event.row + rowsOf(10));
  if (to - event.row < rowsOf(1)) return null;
  const before = Math.max(0, event.row - rowsOf(1.5));
  let clean = event.row;
  while (clean < to && (phase[clean] === IDLE || recording.stalled)) clean++;
  const range = extremesOf(error, event.row, Math.min(clean, event.row + rowsOf(6)));
  if (range === null) return null;
  const { air } = recording;
  let [added, needed] = [Number.NaN, Number.NaN];
  if (air !== null) {
    const was = meanOf(air, before, event.row);
    const at = slowCommand(subject, event.row - 1);
    // in the row of the request where the recorder was quick enough, or in the next
    const [now, next] = [0, 1].map((k) => slowCommand(subject, Math.min(event.row + k, air.length - 1)) - at) as [number, number];
    added = Math.abs(now) >= 0.5 * Math.abs(next) ? now : next;
    const tail = Math.max(event.row + rowsOf(1), clean - rowsOf(1.5));
    if (clean - event.row >= rowsOf(3) && Math.abs(meanOf(error, tail, clean)) < SETTLED_RPM + scatterRpm) needed = meanOf(air, tail, clean) - was;
    if (Math.abs(meanOf(error, before, event.row)) > 2 * SETTLED_RPM) needed = Number.NaN;
  }
  return {
    event, added, needed, sagRpm: Math.max(0, -range.low), flareRpm: Math.max(0, range.high), sagRow: range.lowRow, flareRow: range.highRow,
  };
}

interface Sums {
  readonly on: LoadStep[];
  readonly off: LoadStep[];
}

const worst = (steps: readonly LoadStep[], of: 'sagRpm' | 'flareRpm'): LoadStep | null => steps.reduce<LoadStep | null>((most, step) => (most === null || step[of] > most[of] ? step : most), null);

function ratioOf({ on, off }: Sums): number {
  let [added, needed] = [0, 0];
  for (const [steps, way] of [[on, 1], [off, -1]] as const) {
    for (const step of steps) {
      if (!(step.needed * way > 0) || Number.isNaN(step.added)) continue;
      added += step.added * way;
      needed += step.needed * way;
    }
  }
  return needed > 0 ? added / needed : Number.NaN;
}

interface Over {
  readonly sagOn: number;
  readonly flareOn: number;
  readonly sagOff: number;
  readonly flareOff: number;
}

/** Whether the speed does what it does with too much air: flares as the load comes, sags as it goes. */
const againstIt = ({ sagOn, flareOn, sagOff, flareOff }: Over): boolean => Math.max(flareOn, sagOff) > 1.5 * Math.max(sagOn, flareOff);

function judge(name: string, sums: Sums, subject: Subject): Finding | null {
  const { limits, recording, timeOf } = subject;
  const [sagOn, flareOn, sagOff, flareOff] = [worst(sums.on, 'sagRpm'), worst(sums.on, 'flareRpm'), worst(sums.off, 'sagRpm'), worst(sums.off, 'flareRpm')];
  const times = (reached: number | undefined, limit: number): number => Math.max(0, (reached ?? 0) - roughnessPeak(subject)) / limit;
  const over: Over = {
    sagOn: times(sagOn?.sagRpm, limits.sagRpm), flareOn: times(flareOn?.flareRpm, limits.flareRpm),
    sagOff: times(sagOff?.sagRpm, limits.sagRpm), flareOff: times(flareOff?.flareRpm, limits.flareRpm),
  };
  const size = Math.max(over.sagOn, over.flareOn, over.sagOff, over.flareOff);
  if (size < 1) return null;
  let ratio = ratioOf(sums);
  const stall = recording.stalled && sums.on.some(({ event }) => event.to === recording.rows);
  if (Number.isNaN(ratio) && recording.air !== null) {
    const first = sums.on[0] ?? sums.off[0];
    if (first !== undefined && Math.abs(first.added) < 0.04 * subject.holdAir) ratio = 0;
  }
  const sags = Math.max(over.sagOn, over.flareOff) >= Math.max(over.flareOn, over.sagOff);
  let cause: Cause;
  let confidence = 0.85;
  if (Number.isNaN(ratio)) {
    confidence = 0.45;
    cause = sags ? (over.flareOff > 0.6 ? 'load-air-small' : 'load-lead-short') : over.sagOff > 0.6 ? 'load-air-large' : 'load-lead-long';
  } else if (ratio < SMALL && againstIt(over)) {
    // the load is logged as it takes hold, its air was there before: what the speed does tells
    cause = over.sagOff > 0.6 ? 'load-air-large' : 'load-lead-long';
    confidence = 0.6;
  } else if (ratio < SMALL) cause = 'load-air-small';
  else if (ratio > LARGE) cause = 'load-air-large';
  else {
    // air that comes too early flares first, and sags when the loop has taken it away again
    const early = flareOn !== null && sagOn !== null && flareOn.flareRow < flareOn.sagRow && over.flareOn > 0.45;
    if (Math.max(over.sagOn, over.flareOn) >= 1) cause = early ? 'load-lead-long' : over.sagOn >= over.flareOn ? 'load-lead-short' : 'load-lead-long';
    else cause = sags ? 'load-air-small' : 'load-air-large';
    confidence = ratio > 0.85 && ratio < 1.18 ? 0.85 : 0.6;
  }
  const shown = [
    sagOn !== null && over.sagOn >= 0.5 ? `${rpm(sagOn.sagRpm)} below target at ${atS(timeOf(sagOn.sagRow))}, as it comes` : '',
    flareOn !== null && over.flareOn >= 0.5 ? `${rpm(flareOn.flareRpm)} above target at ${atS(timeOf(flareOn.flareRow))}, as it comes` : '',
    sagOff !== null && over.sagOff >= 0.5 ? `${rpm(sagOff.sagRpm)} below target at ${atS(timeOf(sagOff.sagRow))}, as it goes` : '',
    flareOff !== null && over.flareOff >= 0.5 ? `${rpm(flareOff.flareRpm)} above target at ${atS(timeOf(flareOff.flareRow))}, as it goes` : '',
  ].filter((text) => text !== '');
  const told = sums.on.find((step) => !Number.isNaN(step.needed) && !Number.isNaN(step.added));
  const unit = recording.airUnit;
  const air = told !== undefined
    ? [`the command steps by ${airText(told.added, unit)} at once and by ${airText(told.needed, unit)} once settled`]
    : ratio === 0 ? ['nothing is added to the command as it comes'] : ['the air it needs cannot be told from this recording'];
  const rows = [...sums.on, ...sums.off].map(({ event }) => event.row);
  const rivals: Cause[] = cause === 'load-air-small' ? ['load-lead-short'] : cause === 'load-lead-short' ? ['load-air-small'] : cause === 'load-air-large' ? ['load-lead-long'] : ['load-air-large'];
  return {
    cause, load: name, fromS: timeOf(Math.min(...rows)), toS: timeOf(Math.min(recording.rows - 1, Math.max(...rows))),
    evidence: [...(stall ? ['the engine stalls under it'] : []), ...shown, ...air], size: stall ? Math.max(size, 3) : size, confidence, rivals,
  };
}

/** Loads whose air or lead is wrong. */
export function findLoads(subject: Subject): readonly Finding[] {
  const names = [...new Set(subject.events.filter(({ kind }) => kind === 'load on' || kind === 'load off').map(({ name }) => name))];
  return names.flatMap((name) => {
    const steps = (kind: string): LoadStep[] => subject.events.flatMap((event) => (event.kind === kind && event.name === name ? (loadStep(subject, event) ?? []) : []));
    const found = judge(name, { on: steps('load on'), off: steps('load off') }, subject);
    return found === null ? [] : [found];
  });
}
