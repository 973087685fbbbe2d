/** One plain line on how a run went. */
import type { Trace } from '../loop/trace.js';
import type { EventMetrics } from './events.js';
import type { LimitName, Missed } from './limits.js';
import type { Metrics } from './metrics.js';
import type { Scoring } from './parameters.js';
import { DIES_AWAY, STILL } from './reasons.js';
import { unsettled, worstBy } from './worst.js';

const PLAIN: Readonly<Record<LimitName, readonly [name: string, unit: string, digits: number]>> = {
  sagRpm: ['sag', 'rpm', 0],
  flareRpm: ['flare', 'rpm', 0],
  settlingTimeS: ['settling time', 's', 1],
  overshootPct: ['overshoot', '%', 0],
  stallMarginRpm: ['stall margin', 'rpm', 0],
  iaeRpmS: ['integral of error', 'rpm·s', 0],
  huntingRpm: ['hunting', 'rpm', 0],
  valveTravelPctPerS: ['valve travel', '%/s', 1],
  sparkActivityDeg: ['spark activity', '°', 1],
  saturatedS: ['time at the valve limit', 's', 1],
};

/** Stall margin below which a run that holds is said to come near a stall, rpm; assumed: what one more bump of the idle takes. */
const NEAR_STALL_RPM = 100;

/** Why a speed is known not to hunt (`findHunting`); for any other reason it could not be told. */
const NO_HUNTING = new RegExp(`${STILL}|${DIES_AWAY}`);

/** A number with so many digits, and one more as long as it reads the same as what is allowed. */
function apart(value: number, allowed: number, digits: number): readonly [string, string] {
  for (let d = digits; d < 6; d++) if (value.toFixed(d) !== allowed.toFixed(d)) return [value.toFixed(d), allowed.toFixed(d)];
  return [String(value), String(allowed)];
}

const where = (event: { readonly atS: number; readonly name: string }): string => `at ${event.atS.toFixed(1)} s (${event.name})`;

function missedText(missed: Missed): string {
  const [name, unit, digits] = PLAIN[missed.limit];
  if (missed.untold !== undefined) return `${name} could not be told ${where({ atS: missed.atS, name: missed.event })}: ${missed.untold}`;
  const [value, allowed] = apart(missed.value ?? Number.NaN, missed.allowed, digits);
  const at = `${missed.atS.toFixed(1)} s`;
  if (missed.value === null) return `not settled ${allowed} s after ${missed.event} at ${at}`;
  return `${name} ${value} ${unit} at ${at} (${missed.event}), allowed ${missed.limit === 'stallMarginRpm' ? 'no less than' : 'up to'} ${allowed}`;
}

/**
 * The verdict: whether it stalls, misses limits, hangs, is left with the foot down, does not settle, hunts, or holds; then the deepest sag and the rest.
 *
 * @param events those that were judged  @param metrics worst of the run
 */
export function verdict(trace: Trace, events: readonly EventMetrics[], metrics: Metrics, missed: readonly Missed[], scoring: Scoring): string {
  if (trace.stalled) {
    const last = events.at(-1);
    const stallS = trace.stallTimeS ?? trace.end.atS;
    const since = last !== undefined && trace.events.length > 0 && last.atS > 0 ? `, ${(stallS - last.atS).toFixed(2)} s after ${last.name}` : '';
    return `Stalls ${stallS.toFixed(2)} s into the run${since}: ${trace.end.because}`;
  }
  if (trace.end.engine !== 'running') return `Does not run: the engine is ${trace.end.engine} at the end (${trace.end.because})`;

  const sag = worstBy(events, 'sagRpm');
  const flare = worstBy(events, 'flareRpm');
  const never = events.find(unsettled);
  const { huntingRpm, huntingHz } = metrics;
  const hunts = huntingRpm !== null && huntingHz !== null ? `${huntingRpm.toFixed(0)} rpm peak to peak at ${huntingHz.toFixed(2)} Hz` : null;
  const parts = [
    ...(sag === null || (sag.sagRpm ?? 0) < 0.5 ? ['no sag'] : [`deepest sag ${(sag.sagRpm ?? 0).toFixed(0)} rpm ${where(sag)}`]),
    ...(flare === null || (flare.flareRpm ?? 0) <= scoring.settlingBandRpm ? [] : [`flare ${(flare.flareRpm ?? 0).toFixed(0)} rpm ${where(flare)}`]),
    ...(metrics.settlingTimeS === null ? [] : [`back within ${scoring.settlingBandRpm} rpm in ${metrics.settlingTimeS.toFixed(1)} s`]),
  ].join(', ');
  const told = events.every(({ reasons }) => NO_HUNTING.test(reasons.huntingRpm ?? ''));
  const tail = `${parts}; ${hunts !== null ? `hunting ${hunts}` : told ? 'no hunting' : 'no hunting seen'}`;
  const hangs = events.flatMap((event) => event.hangs ?? []).at(-1);
  const left = [...(hangs === undefined ? [] : [hangs]), ...new Set(events.flatMap((event) => event.pedal ?? []))].join('; ');
  if (missed.length > 0) {
    const limits = `Misses ${missed.length === 1 ? 'a limit' : `${missed.length} limits`}: ${missed.map(missedText).join('; ')}`;
    return left === '' ? limits : `${limits}; ${left}`;
  }
  if (left !== '') return `${left.charAt(0).toUpperCase()}${left.slice(1)}: ${tail}`;
  if (hunts !== null && (never !== undefined || (huntingRpm ?? 0) > scoring.scales.huntingRpm)) return `Hunts ${hunts}: ${parts}`;
  if (never !== undefined) return `Does not settle ${where(never)}, ${never.reasons.settlingTimeS ?? ''}: ${tail}`;
  const { stallMarginRpm: margin } = metrics;
  if (margin !== null && margin < NEAR_STALL_RPM) return `Holds, but comes within ${Math.max(0, margin).toFixed(0)} rpm of stalling: ${tail}`;
  return `Holds: ${tail}`;
}
