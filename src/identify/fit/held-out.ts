/** How near a free run (the log's inputs alone, nothing put right on the way) comes to what was measured. */
import type { FitRecording } from './recording.js';
import type { Predicted } from './problem.js';

export interface HeldOut {
  readonly timeS: Float64Array;
  readonly measuredRpm: Float64Array;
  readonly simulatedRpm: Float64Array;
  /** Root mean square of the difference, rpm: over all rows, those of steady idle, those around events; null without such. */
  readonly allRpm: number;
  readonly steadyRpm: number | null;
  readonly eventsRpm: number | null;
  /** The same of the manifold pressure, kPa; null when not logged. */
  readonly pressureKpa: number | null;
}

const RPM = Math.PI / 30;
const SETTLE_S = 1.5;
/** An event lasts until this long after something last moved: loads, throttle, or the speed itself. */
const AFTER_S = 3;
const BEFORE_S = 0.5;
const THROTTLE = 0.01;
/** A speed that moves by this much within a second is no steady idle, rpm. */
const MOVES_RPM = 80;

/** 1 where a row belongs to an event. */
export function eventRows({ stretches, periodS }: FitRecording): Uint8Array {
  const all = new Uint8Array(stretches.reduce((sum, s) => sum + s.rows, 0));
  let at = 0;
  for (const { rows, pedal, loads, speed } of stretches) {
    const second = Math.max(1, Math.round(1 / periodS));
    for (let k = 1; k < rows; k++) {
      const moved = loads.some((on) => on[k] !== on[k - 1]) || pedal[k]! > THROTTLE || Math.abs(speed[k]! - speed[Math.max(0, k - second)]!) > MOVES_RPM * RPM;
      if (!moved) continue;
      const [from, to] = [Math.max(0, k - Math.ceil(BEFORE_S / periodS)), Math.min(rows, k + Math.ceil(AFTER_S / periodS))];
      all.fill(1, at + from, at + to);
    }
    at += rows;
  }
  return all;
}

export function heldOutOf(recording: FitRecording, predicted: Predicted): HeldOut {
  const { stretches, periodS, has } = recording;
  const events = eventRows(recording);
  const settle = Math.ceil(SETTLE_S / periodS);
  const [timeS, measured, simulated]: [number[], number[], number[]] = [[], [], []];
  const sums = { all: [0, 0], steady: [0, 0], events: [0, 0], pressure: [0, 0] };
  const add = (to: number[], error: number): void => {
    to[0] = to[0]! + error * error;
    to[1] = to[1]! + 1;
  };
  let at = 0;
  for (const stretch of stretches) {
    for (let k = 0; k < stretch.rows; k++) {
      timeS.push(stretch.startS + k * periodS);
      measured.push(stretch.speed[k]! / RPM);
      simulated.push(predicted.speed[at + k]! / RPM);
      if (k < settle) continue;
      const error = (predicted.speed[at + k]! - stretch.speed[k]!) / RPM;
      add(sums.all, error);
      add(events[at + k] === 1 ? sums.events : sums.steady, error);
      if (has.air && stretch.pressure !== null) add(sums.pressure, (predicted.pressure[at + k]! - stretch.pressure[k]!) / 1e3);
    }
    at += stretch.rows;
  }
  const rms = ([sum, count]: number[]): number | null => (count! > 0 ? Math.sqrt(sum! / count!) : null);
  return {
    timeS: Float64Array.from(timeS), measuredRpm: Float64Array.from(measured), simulatedRpm: Float64Array.from(simulated),
    allRpm: rms(sums.all) ?? Number.NaN, steadyRpm: rms(sums.steady), eventsRpm: rms(sums.events), pressureKpa: rms(sums.pressure),
  };
}
