/**
 * Starts: long cranking, flare, sag; and whether base or air after start is to blame.
 *
 * An integral that begins at nothing ends at K_i ∫(target − speed) dt. Where the base is right it ends about where it began:
 * what the loop takes away while air after start is too much, it gives back as that fades. Where the base is wrong the areas of
 * the error do not cancel, and the command stays where they have brought it (`start-parts.ts`).
 */
import { airText, atS, type Cause, type Finding, rpm } from './finding.js';
import type { LogEvent } from './events.js';
import { CRANKING } from './phases.js';
import { extremesOf, meanOf } from './recording.js';
import { type CommandParts, partsOf } from './start-parts.js';
import { roughnessPeak, type Subject } from './subject.js';

const LONGEST_S = 45;
/** The run-up from the catch is the starter's, not the loop's, s. */
const RUN_UP_S = 0.8;
/** Areas cancel when their difference is no more than this of their sum. */
const CANCELS = 0.55;
/** A command that falls by less than this share of what holds the idle had too little to begin with. */
const BIAS = 0.06;
/** Early fall over the fastest later one, or part of the fall that comes back, from which air faded by itself. */
const [EVEN, REGAINED] = [0.15, 0.35];
const COLD_C = 50;
/** Band of a start that has settled, rpm. */
const SETTLED_RPM = 30;
/** Every start flares so long, s. */
const FLARE_S = 1.5;

interface Start extends CommandParts {
  readonly event: LogEvent;
  readonly crankingS: number;
  readonly flareRpm: number;
  readonly flareRow: number;
  readonly sagRpm: number;
  readonly sagRow: number;
  /** Area above target once the flare of every start is over, rpm·s. */
  readonly lateArea: number;
  /** ∫ of the error above target and below it, rpm·s. */
  readonly above: number;
  readonly below: number;
  /** Time from the catch until within the band for good, s. */
  readonly settlesS: number;
  readonly settled: boolean;
  readonly cold: boolean;
  readonly to: number;
}

function startOf(subject: Subject, event: LogEvent): Start {
  const { recording: { coolantC, periodS }, phases: { phase, error }, rowsOf } = subject;
  let from = event.row;
  while (from > 0 && phase[from - 1] === CRANKING) from--;
  const to = Math.min(event.to, event.row + rowsOf(LONGEST_S));
  let up = event.row;
  while (up < to && (error[up] as number) < -20 && up - event.row < rowsOf(RUN_UP_S)) up++;
  const range = extremesOf(error, up, to);
  let [above, below] = [0, 0];
  for (let k = up; k < to; k++) {
    const e = error[k] as number;
    if (e > 0) above += e * periodS;
    else below -= e * periodS;
  }
  const smooth = (k: number): number => meanOf(error, k - rowsOf(0.3), k + rowsOf(0.3));
  let late = 0;
  for (let k = event.row + rowsOf(FLARE_S); k < to; k++) late += Math.max(0, smooth(k)) * periodS;
  let last = to - 1;
  const wide = (k: number): number => meanOf(error, k - rowsOf(1), k + rowsOf(1));
  while (last > up && Math.abs(wide(last)) <= SETTLED_RPM + roughnessPeak(subject)) last--;
  const coolant = coolantC === null ? Number.NaN : (coolantC[event.row] as number);
  return {
    event, to, crankingS: (event.row - from) * periodS, flareRpm: Math.max(0, range?.high ?? 0), flareRow: range?.highRow ?? up,
    sagRpm: Math.max(0, -(range?.low ?? 0)), sagRow: range?.lowRow ?? up,
    lateArea: late, ...partsOf(subject, up, to), above, below, settlesS: (last - event.row) * periodS, settled: last < to - rowsOf(1), cold: coolant < COLD_C,
  };
}

function judge(start: Start, subject: Subject): readonly Finding[] {
  const { recording, limits, timeOf, holdAir } = subject;
  const { event, flareRpm, flareRow, sagRpm, sagRow, above, below, cold, to } = start;
  const found: Finding[] = [];
  const fromS = timeOf(event.row);
  if (start.crankingS > limits.crankingS) {
    found.push({
      cause: 'cranking-air-small', load: null, fromS: fromS - start.crankingS, toS: fromS, size: start.crankingS / limits.crankingS, confidence: 0.5, rivals: [],
      evidence: [`the starter turns for ${start.crankingS.toFixed(1)} s until the engine catches`],
    });
  }
  const stall = recording.stalled && event.to === recording.rows;
  const flares = Math.max(flareRpm / limits.startFlareRpm, start.lateArea / limits.startAreaRpmS);
  const sags = sagRpm / limits.undershootRpm;
  const slow = start.settlesS / (2.5 * limits.settlingS);
  const size = Math.max(flares, sags, stall ? 3 : 0, slow);
  if (size < 1) return found;
  const net = above - below;
  const { fallen, evenness, regained } = start;
  const when = cold ? 'cold' : 'hot';
  const tooLittle = stall || (sags >= 1 && sags > 0.7 * flares) || (flares < 1 && net < 0);
  const known = fallen !== null && evenness !== null && regained !== null && !stall;
  const fades = known && (evenness >= EVEN || regained > REGAINED);
  // a base that is short leaves the command higher than it began; one that is too large leaves it lower for good
  const oneSided = known ? (tooLittle ? fallen < BIAS * holdAir : !fades) : Math.abs(net) > CANCELS * (above + below);
  const cause: Cause = stall || oneSided ? `base-${when}-${tooLittle ? 'small' : 'large'}` : tooLittle ? 'after-start-small' : 'after-start-large';
  const rival: Cause = cause.startsWith('base') ? (tooLittle ? 'after-start-small' : 'after-start-large') : tooLittle ? `base-${when}-small` : `base-${when}-large`;
  found.push({
    cause, load: null, fromS, toS: timeOf(Math.min(to, recording.rows) - 1), size, confidence: oneSided ? 0.75 : 0.6, rivals: [rival],
    evidence: [
      ...(stall ? ['the engine stalls after the start'] : []),
      ...(flares >= 0.5 ? [`${Math.round(start.lateArea)} rpm·s above target from ${FLARE_S} s after the catch on`, `${rpm(flareRpm)} above target at ${atS(timeOf(flareRow))}`] : []),
      ...(sags >= 0.5 ? [`${rpm(sagRpm)} below target at ${atS(timeOf(sagRow))}`] : []),
      ...(slow >= 1 ? [`within 30 rpm of target only after ${start.settlesS.toFixed(0)} s`] : []),
      `the error's areas: ${Math.round(above)} rpm·s above target, ${Math.round(below)} below`,
      ...(known ? [`the command ends ${airText(Math.abs(fallen), recording.airUnit)} ${fallen > 0 ? 'lower' : 'higher'} than it began; ${fades ? 'it falls evenly from the catch on, or comes back: air that fades' : 'it moves when the loop works on it'}`] : []),
    ],
  });
  return found;
}

export const findStarts = (subject: Subject): readonly Finding[] =>
  subject.events.filter(({ kind }) => kind === 'start').flatMap((event) => judge(startOf(subject, event), subject));
