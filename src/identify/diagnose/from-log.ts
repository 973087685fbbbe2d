/** A recorded log as recordings, one a stretch without a gap in its speed. */
import { type ChannelName, type Log, resample, type Stretch } from '../log/index.js';
import type { Recording } from './recording.js';

/** Grid of the diagnosis, s: no finer than the idle's own swings need, no coarser than its events allow. */
const FINEST_S = 0.05;
const COARSEST_S = 1;

/** Period on which a log is looked at: that of its speed, within bounds. */
export function periodFor(log: Log): number {
  const report = log.report.channels.find(({ name }) => name === 'speed');
  const own = report?.refreshS ?? report?.periodS ?? log.report.time.periodS;
  return Math.min(COARSEST_S, Math.max(FINEST_S, Number(own.toPrecision(3))));
}

function recordingOf(log: Log, { rows, startS, columns }: Stretch, periodS: number, last: boolean): Recording {
  const values = (name: ChannelName): Float64Array | null => columns.get(name)?.values ?? null;
  const speedRpm = values('speed') as Float64Array;
  const ends = speedRpm.subarray(Math.max(0, rows - Math.ceil(1 / periodS)));
  return {
    name: log.name, rows, startS, periodS, speedRpm,
    targetRpm: values('target'), air: values('air'), airUnit: columns.get('air')?.unit ?? '', airLimits: null,
    mapKpa: values('map'), sparkDeg: values('spark'), coolantC: values('coolant'), throttlePct: values('throttle'),
    vehicleKmh: values('vss'), clutch: values('clutch'),
    loads: [...columns].flatMap(([name, column]) => (name.startsWith('load:') ? [{ name: name.slice(5), on: column.values }] : [])),
    // cut off while the engine dies
    stalled: last && ends.length > 1 && (ends.at(-1) as number) < STALLING_RPM && (ends.at(-1) as number) > 0,
  };
}

/** A running engine that has come down to this does not come back. Common practice, no source. */
const STALLING_RPM = 330;

/** @throws LogError never; an empty list where no stretch is long enough */
export function recordingsOfLog(log: Log): readonly Recording[] {
  const periodS = periodFor(log);
  const { stretches } = resample(log, periodS, { shortestS: 2 });
  return stretches.map((stretch, i) => recordingOf(log, stretch, periodS, i === stretches.length - 1));
}
