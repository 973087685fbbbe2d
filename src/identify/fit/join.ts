/** Several recordings as one: each log's stretches after those of the log before it. */
import type { FitRecording } from './recording.js';

/** @throws RangeError when the recordings stand on different grids */
export function joinRecordings(recordings: readonly FitRecording[]): FitRecording {
  const [first, ...rest] = recordings;
  if (first === undefined) throw new RangeError('no recordings');
  if (rest.length === 0) return first;
  if (rest.some(({ periodS }) => periodS !== first.periodS)) throw new RangeError('the recordings stand on different grids of time');
  const loadNames = [...new Set(recordings.flatMap((r) => r.loadNames))];
  const all = (of: (has: FitRecording['has']) => boolean): boolean => recordings.every((r) => of(r.has));
  const has = { air: all((h) => h.air), pressure: all((h) => h.pressure), spark: all((h) => h.spark), coolant: all((h) => h.coolant), throttle: all((h) => h.throttle), supply: all((h) => h.supply) };
  return {
    periodS: first.periodS, loadNames, has,
    stretches: recordings.flatMap((r) => r.stretches.map((s) => ({
      ...s, air: has.air ? s.air : null, pressure: has.pressure || !has.air ? s.pressure : null,
      loads: loadNames.map((name) => s.loads[r.loadNames.indexOf(name)] ?? new Float64Array(s.rows)),
    }))),
    left: recordings.flatMap((r) => r.left), notes: [...new Set(recordings.flatMap((r) => r.notes))],
  };
}
