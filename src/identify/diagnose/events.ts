/** What happened in a recording: loads asked for and let go, returns, clutch, starts; and sags that nothing announced. */
import { CRANKING, DRIVER, IDLE, OFF, type Phases, RETURNING } from './phases.js';
import type { Recording } from './recording.js';

export type EventKind = 'load on' | 'load off' | 'return' | 'clutch in' | 'start' | 'unannounced' | 'target';

export interface LogEvent {
  readonly kind: EventKind;
  readonly name: string;
  readonly row: number;
  /** First row that is no longer its own: the next event's, or the end. */
  readonly to: number;
}

/** A sag that no channel tells of counts as an event from this share of target on. */
const UNANNOUNCED = 0.12;
/** Step of the target that is an event, rpm between rows. */
const TARGET_STEP_RPM = 40;

function switched(on: Float64Array, row: number): number {
  const [a, b] = [on[row - 1] as number, on[row] as number];
  return !Number.isNaN(a) && !Number.isNaN(b) ? Number(b >= 0.5) - Number(a >= 0.5) : 0;
}

/** Events in order of time, each with its window. */
export function eventsOf(recording: Recording, phases: Phases): readonly LogEvent[] {
  const { rows, loads, periodS } = recording;
  const { phase, error, targetRpm, driven } = phases;
  const found: { kind: EventKind; name: string; row: number }[] = [];
  for (let k = 1; k < rows; k++) {
    const [before, now] = [phase[k - 1] as number, phase[k] as number];
    for (const { name, on } of loads) {
      const way = switched(on, k);
      if (way !== 0) found.push({ kind: way > 0 ? 'load on' : 'load off', name, row: k });
    }
    if ((before === CRANKING || before === OFF) && now === IDLE) found.push({ kind: 'start', name: 'start', row: k });
    if (before === DRIVER && (now === RETURNING || now === IDLE)) {
      const clutch = driven[k - 1] === 1;
      found.push({ kind: clutch ? 'clutch in' : 'return', name: clutch ? 'clutch in' : 'throttle shut', row: k });
    }
    if (recording.targetRpm !== null && now === IDLE && Math.abs((targetRpm[k] as number) - (targetRpm[k - 1] as number)) > TARGET_STEP_RPM) found.push({ kind: 'target', name: 'target', row: k });
  }
  // a target that steps with a load is the load's; with one another's
  const near = Math.round(1 / periodS);
  const own = found.filter((e, i) => e.kind !== 'target' || !found.some((other, j) => j !== i && (other.kind !== 'target' || j < i) && Math.abs(other.row - e.row) <= near));
  const quiet = Math.round(8 / periodS);
  const back = Math.round(0.4 / periodS);
  for (let k = 1; k < rows; k++) {
    if (phase[k] !== IDLE || !((error[k] as number) < -UNANNOUNCED * (targetRpm[k] as number))) continue;
    if (own.some(({ row }) => row <= k && k - row < quiet)) continue;
    own.push({ kind: 'unannounced', name: 'a load that no channel tells of', row: Math.max(0, k - back) });
  }
  own.sort((a, b) => a.row - b.row);
  return own.map((event, i) => ({ ...event, to: own.slice(i + 1).find(({ row }) => row > event.row + 1)?.row ?? rows }));
}
